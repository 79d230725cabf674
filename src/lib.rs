//! benchdrop
pub mod cli;
pub mod clock;
pub mod config;
pub mod daemon;
pub mod facts;
pub mod intake;
pub mod judgement;
pub mod ledger;
pub mod metrology;
pub mod notices;
pub mod outbox;
pub mod pages;
pub mod planning;
pub mod respond;
pub mod sheets;
pub mod shop;
pub mod stages;
