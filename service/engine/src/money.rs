//! Money: an exact decimal, two places on the wire as a string, rounded half away from zero once, where a line
//! is made. Totals add rounded lines. There are no floats in money.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub};
use std::str::FromStr;

use rust_decimal::prelude::{FromPrimitive, ToPrimitive};
use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use utoipa::openapi::schema::{ObjectBuilder, SchemaType, Type};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// An amount in the document's currency, whole pennies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money(Decimal);

/// What `Money` looks like on the wire.
pub const MONEY_PATTERN: &str = r"^-?\d{1,12}\.\d{2}$";

impl Default for Money {
    fn default() -> Self {
        Self::ZERO
    }
}

impl Money {
    /// Nothing: `0.00`.
    pub const ZERO: Self = Self(Decimal::ZERO);

    /// From whole pennies.
    #[must_use]
    pub fn from_pennies(pennies: i64) -> Self {
        Self(Decimal::new(pennies, 2))
    }

    /// The one rounding: to the penny, half away from zero.
    #[must_use]
    pub fn rounded(exact: Decimal) -> Self {
        Self(exact.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero))
    }

    /// `quantity` at this price each, rounded once to the penny. The quantity is a physical figure and is taken
    /// at six decimals, so that two machines round alike.
    #[must_use]
    pub fn times(self, quantity: f64) -> Self {
        Self::rounded(self.exactly_times(quantity))
    }

    /// As [`Money::times`], not yet rounded: for adding several products into one line.
    #[must_use]
    pub fn exactly_times(self, quantity: f64) -> Decimal {
        self.0 * decimal(quantity)
    }

    /// This share of the amount, rounded once to the penny.
    #[must_use]
    pub fn share(self, fraction: f64) -> Self {
        self.times(fraction)
    }

    /// The exact decimal.
    #[must_use]
    pub fn exact(self) -> Decimal {
        self.0
    }

    /// In whole pennies, for choices between prices; nothing where it is less than nothing.
    #[must_use]
    pub fn pennies(self) -> u64 {
        (self.0 * Decimal::ONE_HUNDRED).to_u64().unwrap_or_default()
    }

    /// In whole pennies, with its sign; none where there are parts of a penny, or too many of them.
    #[must_use]
    pub fn whole_pennies(self) -> Option<i64> {
        let pennies = match self.0.scale() {
            0 => self.0.mantissa().checked_mul(100)?,
            1 => self.0.mantissa().checked_mul(10)?,
            2 => self.0.mantissa(),
            _ => return None,
        };
        i64::try_from(pennies).ok()
    }

    /// For statistics only, never for adding up a price.
    #[must_use]
    pub fn approximate(self) -> f64 {
        approximate(self.0)
    }

    /// Without its sign.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// Whether it is less than nothing.
    #[must_use]
    pub fn is_negative(self) -> bool {
        self.0 < Decimal::ZERO
    }
}

/// A decimal as a float, for statistics and choices only. Below 2^53 and at up to 22 places numerator and denominator are
/// exact, so that the quotient is the nearest float; many times faster than the general way.
#[must_use]
pub fn approximate(exact: Decimal) -> f64 {
    const EXACT_MAX: i128 = 1 << 53;
    const SCALE_MAX: usize = 22;
    const POWERS: [f64; SCALE_MAX + 1] = [
        1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19,
        1e20, 1e21, 1e22,
    ];
    let mantissa = exact.mantissa();
    match POWERS.get(exact.scale() as usize) {
        #[expect(clippy::cast_precision_loss, reason = "a whole number that a float holds exactly")]
        Some(power) if mantissa.abs() <= EXACT_MAX => mantissa as f64 / power,
        _ => exact.to_f64().unwrap_or_default(),
    }
}

/// A physical figure as a decimal at six places. Figures reach here finite and bounded by the survey's limits;
/// one that is neither counts as nothing rather than stopping the request.
#[must_use]
pub fn decimal(figure: f64) -> Decimal {
    /// A million of the largest figure still fits a whole number and loses nothing.
    const SCALED_MAX: f64 = 9.0e15;
    let scaled = (figure * 1e6).round();
    if scaled.abs() < SCALED_MAX {
        // Many times faster than reading the digits of a float: a third of the time of pricing a house went there.
        #[expect(clippy::cast_possible_truncation, reason = "a whole number below the limit")]
        return Decimal::new(scaled as i64, 6);
    }
    Decimal::from_f64(figure).unwrap_or_default().round_dp_with_strategy(6, RoundingStrategy::MidpointAwayFromZero)
}

/// Why a text is not an amount of money.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not an amount of money: write digits with exactly two decimals, such as \"12.50\"")]
pub struct NotMoney(String);

impl FromStr for Money {
    type Err = NotMoney;

    fn from_str(text: &str) -> Result<Self, NotMoney> {
        let fault = || NotMoney(text.chars().take(40).collect());
        let unsigned = text.strip_prefix('-').unwrap_or(text);
        let (whole, pennies) = unsigned.split_once('.').ok_or_else(fault)?;
        let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        if !digits(whole) || whole.len() > 12 || !digits(pennies) || pennies.len() != 2 {
            return Err(fault());
        }
        Decimal::from_str_exact(text).map(Self).map_err(|_| fault())
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (mantissa, scale) = (self.0.mantissa(), self.0.scale());
        if scale != 2 {
            return f.pad(&format!("{:.2}", self.0));
        }
        let (sign, pennies) = (if mantissa < 0 { "-" } else { "" }, mantissa.unsigned_abs());
        let (pounds, pennies) = (pennies / 100, pennies % 100);
        if f.width().is_none() && f.precision().is_none() {
            return write!(f, "{sign}{pounds}.{pennies:02}");
        }
        f.pad(&format!("{sign}{pounds}.{pennies:02}"))
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = <std::borrow::Cow<'de, str>>::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

impl PartialSchema for Money {
    fn schema() -> RefOr<Schema> {
        ObjectBuilder::new()
            .schema_type(SchemaType::new(Type::String))
            .description(Some("An amount in the document's currency: digits, a point, two decimals."))
            .pattern(Some(MONEY_PATTERN))
            .examples([serde_json::json!("1240.50")])
            .into()
    }
}

impl ToSchema for Money {
    fn name() -> std::borrow::Cow<'static, str> {
        "Money".into()
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Money {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        text.parse().expect("an amount in a test")
    }

    #[test]
    fn half_a_penny_rounds_away_from_zero() {
        assert_eq!(Money::rounded(Decimal::new(125, 3)), money("0.13"));
        assert_eq!(Money::rounded(Decimal::new(-125, 3)), money("-0.13"));
    }

    #[test]
    fn money_always_shows_two_decimals() {
        assert_eq!(Money::from_pennies(124_000).to_string(), "1240.00");
        assert_eq!(serde_json::to_string(&Money::ZERO).expect("writes"), "\"0.00\"");
    }

    #[test]
    fn a_third_decimal_a_number_or_a_pound_sign_is_refused() {
        for wrong in ["12.345", "12", "£12.00", "1e3", "", ".50", "12.", "--1.00", "1,200.00"] {
            assert!(wrong.parse::<Money>().is_err(), "{wrong}");
        }
        assert!(serde_json::from_str::<Money>("12.50").is_err());
    }

    #[test]
    fn a_figure_is_taken_at_six_decimals_half_away_from_zero() {
        assert_eq!(decimal(0.1), Decimal::new(1, 1));
        assert_eq!(decimal(2.000_000_5), Decimal::new(2_000_001, 6));
        assert_eq!(decimal(-0.25), Decimal::new(-25, 2));
        assert_eq!(decimal(1e20), Decimal::from(100_000_000_000_000_000_000_i128));
        assert_eq!((decimal(f64::NAN), decimal(f64::INFINITY)), (Decimal::ZERO, Decimal::ZERO));
    }

    #[test]
    fn seven_metres_at_1_15_cost_8_05() {
        assert_eq!(money("1.15").times(7.0), money("8.05"));
    }
}
