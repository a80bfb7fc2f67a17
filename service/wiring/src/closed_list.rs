//! One way to declare a closed list: an enum with a word for the wire and a meaning for the contract.

/// Declares a closed list: the words, their meaning, and ways to go over and read them.
///
/// Word and meaning are taken as `tt`, not as `literal`: the derive that publishes the schema does not see through
/// the group that a `literal` is wrapped in, and would publish the variant's name in place of the word.
#[macro_export]
macro_rules! closed_list {
    ($(#[$attribute:meta])* $name:ident { $($variant:ident = $word:tt : $meaning:tt),+ $(,)? }) => {
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash,
            serde::Serialize, serde::Deserialize, utoipa::ToSchema,
        )]
        $(#[$attribute])*
        pub enum $name {
            $(#[doc = $meaning] #[serde(rename = $word)] $variant,)+
        }

        impl $name {
            /// Every value, in the order of the list.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word on the wire.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// The value that this word stands for.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.word())
            }
        }
    };
}
