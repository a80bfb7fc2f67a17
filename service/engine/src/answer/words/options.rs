//! What could be done another way, and what is lost or gained by it.

use crate::options::OptionKind;
use crate::site::Site;

/// What is done.
pub(crate) fn what(kind: OptionKind, site: &Site) -> String {
    let name = |building: usize| &site.rooms[site.outbuildings[building].room].name;
    let words = match kind {
        OptionKind::ClearTheRooms => "The client moves out and clears every room before first fix",
        OptionKind::WhiteThroughout => "Moulded white accessories in place of the finishes chosen",
        OptionKind::OthersMakeGood => "The client's plasterer fills chases and round boxes",
        OptionKind::DropWhatCouldWait => "Leave out the points marked `could`",
        OptionKind::FeedOfItsOwn { building, from } => {
            return format!("{} by a feed of its own from the house, not onward from {}", name(building), name(from));
        }
        OptionKind::FeedOnward { building, from } => {
            return format!(
                "{} fed onward from the board of {}, without a feed of its own",
                name(building),
                name(from)
            );
        }
    };
    words.to_owned()
}

/// What is lost or gained.
pub(crate) const fn effect(kind: OptionKind) -> &'static str {
    match kind {
        OptionKind::ClearTheRooms => "nothing is lost; the house is not lived in for the length of first fix",
        OptionKind::WhiteThroughout => "the look of the accessories; nothing else",
        OptionKind::OthersMakeGood => "the plasterer's bill comes on top, and his dates decide the second fix",
        OptionKind::DropWhatCouldWait => "those points; their cable and chases save more, which is not counted here",
        OptionKind::FeedOfItsOwn { .. } => "each building can be made dead without the other",
        OptionKind::FeedOnward { .. } => "what stops the one building stops the other",
    }
}
