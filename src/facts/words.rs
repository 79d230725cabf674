//! Words that a drop may use, as types: one list gives the variant, the word as written and its reading.

/// An enum whose variants are words of a schema.
macro_rules! words {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $word:literal,)+ }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
        pub enum $name {
            $($(#[$doc])* #[serde(rename = $word)] $variant,)+
        }

        impl $name {
            /// Every word.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// As written in a drop.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }
        }
    };
}
pub(in crate::facts) use words;
