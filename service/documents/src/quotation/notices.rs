//! What the law wants on an offer to a householder. Source: Consumer Contracts (Information, Cancellation and Additional
//! Charges) Regulations 2013, SI 2013/3134: Schedule 2 (information), Schedule 3 part B (the form), regulation 36 (the request to
//! start sooner). Printed for every client: the safe course, for a quotation does not know who is a consumer.

use super::paper::{Block, heading, paragraph};

/// The right to cancel, the form for it, and the request to start sooner.
pub(super) fn cancellation(firm: &[String], subject: &str) -> Vec<Block> {
    let to = if firm.is_empty() { BLANK.to_owned() } else { firm.join(", ") };
    vec![
        Block::NewPage,
        heading("Your right to cancel"),
        paragraph(
            "If you are a consumer and this contract is made in your home or at a distance, you can cancel it within 14 days of \
             the day on which it is made. You need give no reason. Tell us clearly, by letter or e-mail. You may use the form \
             below, but need not. It is enough to send it before the 14 days are over.",
        ),
        paragraph(
            "If you cancel, we pay back all that you have paid, at the latest 14 days after you told us, in the way in which you \
             paid. If you asked us to begin within the 14 days, you pay for what we have done until you told us. If the work is \
             finished by then, as you asked, the right to cancel has ended.",
        ),
        heading("Cancellation form"),
        paragraph("Fill this in and send it back only if you want to cancel the contract."),
        paragraph(format!("To {to}:")),
        paragraph(format!(
            "I/We [*] hereby give notice that I/We [*] cancel my/our [*] contract for the supply of the following service: \
             electrical work, {subject}"
        )),
        Block::Blanks {
            lines: vec![
                "Ordered on",
                "Name of consumer(s)",
                "Address of consumer(s)",
                "Signature of consumer(s), only on paper",
                "Date",
            ],
        },
        paragraph("[*] Delete as appropriate."),
        heading("Request to begin within the 14 days"),
        paragraph(
            "Sign here only if you want us to begin before the 14 days are over. Without it we do not begin, and you owe nothing \
             for work done in that time.",
        ),
        paragraph(
            "I ask you to begin the work before the 14 days are over. I know that I must pay for what has been done if I cancel, \
             and that I lose the right to cancel once the work is finished.",
        ),
        Block::Blanks { lines: vec!["Signature", "Date"] },
    ]
}

/// What is left to be written by hand.
pub(super) const BLANK: &str = "____________________";
