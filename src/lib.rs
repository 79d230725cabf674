//! benchdrop
pub mod facts;
pub mod judgement;
pub mod metrology;
pub mod sheets;
pub mod shop;
