//! What could be done another way, and what is lost or gained by it.

use crate::options::OptionKind;
use crate::site::Site;

/// What is done.
pub(crate) fn what(kind: OptionKind, site: &Site) -> String {
    let name = |building: usize| &site.rooms[site.outbuildings[building].room].name;
    let words = match kind {
        OptionKind::ClearTheRooms => "The client moves out and clears every room before first fix",
        OptionKind::WhiteThroughout => "White plastic plates in place of the finishes chosen",
        OptionKind::OthersMakeGood => "The client's plasterer fills chases and round boxes",
        OptionKind::DropWhatCouldWait => "Leave out the points marked `could`",
        OptionKind::FeedOfItsOwn { building, from } => {
            return format!("Feed {} from the house by itself, not from {}", name(building), name(from));
        }
        OptionKind::FeedOnward { building, from } => {
            return format!("Feed {} from the board of {}, not from the house", name(building), name(from));
        }
    };
    words.to_owned()
}

/// What is lost or gained.
pub(crate) const fn effect(kind: OptionKind) -> &'static str {
    match kind {
        OptionKind::ClearTheRooms => "Nothing is lost, but nobody can live in the house during first fix",
        OptionKind::WhiteThroughout => "Only the look of the plates changes",
        OptionKind::OthersMakeGood => "The plasterer's bill comes on top, and the plasterer's dates decide second fix",
        OptionKind::DropWhatCouldWait => {
            "Those points are lost. Their cable and chases save more, which is not counted here"
        }
        OptionKind::FeedOfItsOwn { .. } => "Each building can be switched off without the other",
        OptionKind::FeedOnward { .. } => "What switches one building off switches the other off too",
    }
}
