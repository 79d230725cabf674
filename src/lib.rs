//! benchdrop
pub mod facts;
pub mod metrology;
pub mod sheets;
