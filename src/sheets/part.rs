//! Part kinds: what is stripped, looked at, tested, renewed and fitted, position by position.

use crate::metrology::Expansion;
use crate::sheets::fold_name;
use crate::sheets::metal::Metal;

/// One kind of part.
#[derive(Clone, Debug)]
pub struct Part {
    /// The word drops use.
    pub key: String,
    /// Thermal expansion of its material.
    pub expansion: Expansion,
    /// That is known to so much either way.
    pub expansion_within: Expansion,
    /// Name of its material.
    pub material: String,
    /// What that is; `None` where the sheet does not say and how it grows does not tell.
    pub metal: Option<Metal>,
    /// A valve with sodium in its stem; `None` where the sheet does not say.
    pub sodium_filled: Option<bool>,
    /// Replaced with new ones at every rebuild; a pair of renewed members is still judged as found.
    pub renewed: bool,
    /// Its positions; empty where the engine has one.
    pub positions: Vec<String>,
    /// For these scopes; for all where empty.
    pub scopes: Vec<String>,
    /// Comes off at teardown and is accounted for position by position.
    pub strip: bool,
    /// Needs a finding, be it "nothing found".
    pub look: bool,
    /// Needs a crack test, and another after grinding, welding or straightening.
    pub crack_test: bool,
    /// Needs a pressure test.
    pub pressure_test: bool,
    /// The size-class group whose agreed size it is bought in.
    pub sized_by: Option<String>,
    /// Words of the operations it must be in hand for: `bore`, `grind`.
    pub before: Vec<String>,
    /// Needs a record that it was fitted.
    pub fitted: bool,
    /// Indices of the part kinds that carry it: with another piece of one of them it goes in anew.
    pub sits_on: Vec<usize>,
    /// Pressed to shape as it is clamped, like a gasket: let go once, it does not go in again.
    pub crushed: bool,
}

impl Part {
    /// Must it be in hand before this operation?
    #[must_use]
    pub fn is_needed_before(&self, operation: &str) -> bool {
        let operation = fold_name(operation);
        self.before.iter().any(|word| operation.contains(&fold_name(word)))
    }

    /// Is it of an aluminium alloy, as the sheet says, else by its material's name or by how it grows? Aluminium grows by about 23.1 ppm a degree, its
    /// casting alloys by 18 to 24, steel by 11.5 and iron by less (trade notes D).
    #[must_use]
    pub fn is_aluminium(&self) -> bool {
        let material = self.material.to_lowercase();
        let named = || material.contains("alumin");
        // Austenitic steel grows by nearly as much.
        let grows = || (17_000..=26_000).contains(&self.expansion.0) && !material.contains("steel");
        self.metal.map_or_else(|| named() || grows(), |metal| metal == Metal::Aluminium)
    }

    /// Such work can crack it, so that it is crack tested again: welding and straightening any part; grinding what is
    /// crack tested at all. (Common practice.)
    #[must_use]
    pub fn is_tested_again_after(&self, operation: &str) -> bool {
        let operation = fold_name(operation);
        let has = |word: &str| operation.contains(word);
        has("weld") || has("straight") || (self.crack_test && (has("grind") || has("ground")))
    }
}
