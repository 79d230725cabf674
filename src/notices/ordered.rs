//! A work order as a letter to whoever does the work, when the people of the shop have an address for them.
//!
//! It says what the order's page says. Each order is sent once; one that was withdrawn and written anew under its number is
//! another, and goes out too. What is back already is not sent, and what must not be cut yet waits: the owner hears of it
//! (`items::held_orders`), and it goes when nothing stands in its way any more. A reason that comes back later makes no
//! second letter.

use crate::notices::letter::{Letter, Sections};
use crate::notices::told::Told;
use crate::pages::{JobView, order_words};
use crate::shop::{Order, Shop};
use crate::stages::person;

/// The letters of orders that nobody was sent yet, and the memory after them.
#[must_use]
pub fn ordered(view: &JobView, shop: &Shop, told: &Told) -> (Vec<Letter>, Told) {
    let mut after = told.clone();
    let mut letters = Vec::new();
    let new = |order: &&Order| {
        order.is_out()
            && !told.recorded.contains(&order.said.fact.hex())
            && view.standing.holds(order).is_empty()
    };
    for order in view.job.orders.values().filter(new) {
        let Some(letter) = letter(view, shop, order) else { continue };
        after.recorded.insert(order.said.fact.hex());
        letters.push(letter);
    }
    (letters, after)
}

fn letter(view: &JobView, shop: &Shop, order: &Order) -> Option<Letter> {
    let reader = person(shop, &order.out.to)?;
    let (job, out) = (&view.job, &order.out);
    let subject = format!(
        "Work order {} of job {}: {}, wanted by {}",
        order.number, job.written, out.operation, out.due
    );
    let one_line = |c: char| if c.is_control() { ' ' } else { c };
    let subject: String = subject.chars().map(one_line).collect();
    let key = format!("order/{}/{}", job.key, order.said.fact.short());
    let mut sections: Sections = order_words(view, order);
    let ask = "If something is missing or does not fit, ask before anything is cut: answer this letter or call the shop.";
    sections.push((String::new(), vec![ask.to_owned()]));
    Letter::to(reader, &key, Some(job.key.to_string()), &subject, &sections)
}
