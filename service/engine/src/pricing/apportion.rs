//! A sum shared out in whole pennies: the one way in which money is divided.

use rust_decimal::Decimal;

use crate::money::Money;

/// Shares a sum out by weights, in whole pennies that add to it: each share rounded down, and the pennies left over given to
/// those that lost most. Where the weights add to nothing, the first takes all.
#[must_use]
pub fn apportion(total: Money, weights: &[Decimal]) -> Vec<Money> {
    let all: Decimal = weights.iter().sum();
    if all.is_zero() {
        let mut shares = vec![Money::ZERO; weights.len()];
        if let Some(first) = shares.first_mut() {
            *first = total;
        }
        return shares;
    }
    // Mostly all of it goes one way: then nothing has to be divided.
    let mut some = weights.iter().enumerate().filter(|(_, weight)| !weight.is_zero());
    if let (Some((only, _)), None) = (some.next(), some.next()) {
        let mut shares = vec![Money::ZERO; weights.len()];
        shares[only] = total;
        return shares;
    }
    apportion_whole(total, weights).unwrap_or_else(|| apportion_exact(total, weights))
}

fn apportion_exact(total: Money, weights: &[Decimal]) -> Vec<Money> {
    let all: Decimal = weights.iter().sum();
    let pennies = total.exact() * Decimal::ONE_HUNDRED;
    let exact: Vec<Decimal> = weights.iter().map(|weight| pennies * weight / all).collect();
    let mut shares: Vec<Decimal> = exact.iter().map(Decimal::floor).collect();
    let mut left = pennies - shares.iter().sum::<Decimal>();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by(|a, b| (exact[*b] - shares[*b]).cmp(&(exact[*a] - shares[*a])).then(a.cmp(b)));
    for index in order {
        if left < Decimal::ONE {
            break;
        }
        shares[index] += Decimal::ONE;
        left -= Decimal::ONE;
    }
    shares.into_iter().map(|share| Money::rounded(share / Decimal::ONE_HUNDRED)).collect()
}

/// The same in whole numbers, which is many times faster; none where a product would be too large for them.
fn apportion_whole(total: Money, weights: &[Decimal]) -> Option<Vec<Money>> {
    let scale = weights.iter().map(Decimal::scale).max()?;
    let whole = |weight: &Decimal| weight.mantissa().checked_mul(10_i128.checked_pow(scale - weight.scale())?);
    let whole: Vec<i128> = weights.iter().map(whole).collect::<Option<_>>()?;
    let all = whole.iter().try_fold(0_i128, |sum, weight| sum.checked_add(*weight)).filter(|all| *all > 0)?;
    let pennies = i128::from(total.whole_pennies()?);
    let products: Vec<i128> = whole.iter().map(|weight| weight.checked_mul(pennies)).collect::<Option<_>>()?;
    let mut shares: Vec<i128> = products.iter().map(|product| product.div_euclid(all)).collect();
    let mut left = pennies - shares.iter().sum::<i128>();
    if left > 0 {
        let mut order: Vec<usize> = (0..shares.len()).collect();
        let lost = |index: usize| products[index].rem_euclid(all);
        order.sort_by(|a, b| lost(*b).cmp(&lost(*a)).then(a.cmp(b)));
        for index in order {
            if left == 0 {
                break;
            }
            shares[index] += 1;
            left -= 1;
        }
    }
    shares.into_iter().map(|share| i64::try_from(share).ok().map(Money::from_pennies)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn money(text: &str) -> Money {
        text.parse().expect("an amount in a test")
    }

    fn shares(total: &str, weights: &[i64]) -> Vec<String> {
        let weights: Vec<Decimal> = weights.iter().map(|weight| Decimal::from(*weight)).collect();
        apportion(money(total), &weights).iter().map(ToString::to_string).collect()
    }

    /// Source: VAT Valuation Manual VATVAL03800, the meal deal: shelf prices 6.00, 1.50, 1.50 and 6.00, sold for 10.00.
    #[test]
    fn a_price_below_the_sum_of_its_parts_is_shared_out_by_their_prices() {
        assert_eq!(shares("10.00", &[600, 150, 150, 600]), ["4.00", "1.00", "1.00", "4.00"]);
    }

    /// Source: VAT Valuation Manual VATVAL03800, business A: a book at 5 and a disc at 10, sold together for 18.
    #[test]
    fn a_price_above_the_sum_of_its_parts_is_shared_out_by_their_prices() {
        assert_eq!(shares("18.00", &[5, 10]), ["6.00", "12.00"]);
    }

    /// Source: VAT Valuation Manual VATVAL04100, "Nexus": costs of 84,000 zero-rated of 250,000 in all, income 400,000.
    #[test]
    fn a_price_is_shared_out_by_the_costs_of_each_supply() {
        assert_eq!(shares("400000.00", &[84_000, 166_000]), ["134400.00", "265600.00"]);
    }

    #[test]
    fn shares_add_to_the_penny_whatever_the_weights() {
        assert_eq!(shares("0.10", &[1, 1, 1]), ["0.04", "0.03", "0.03"]);
        assert_eq!(shares("100.00", &[0, 0]), ["100.00", "0.00"]);
        assert_eq!(shares("-0.10", &[1, 1, 1]), ["-0.03", "-0.03", "-0.04"]);
    }

    proptest::proptest! {
        #[test]
        fn whole_numbers_share_out_as_decimals_do(
            total in -1_000_000_i64..1_000_000,
            weights in proptest::collection::vec((0_i64..100_000, 0_u32..4), 1..12),
        ) {
            let weights: Vec<Decimal> =
                weights.into_iter().map(|(weight, scale)| Decimal::new(weight, scale)).collect();
            let total = Money::from_pennies(total);
            let shares = apportion(total, &weights);
            proptest::prop_assert_eq!(shares.iter().copied().sum::<Money>(), total);
            if let Some(whole) = apportion_whole(total, &weights) {
                let pennies = |shares: &[Money]| shares.iter().map(|share| share.whole_pennies()).collect::<Vec<_>>();
                proptest::prop_assert_eq!(pennies(&apportion_exact(total, &weights)), pennies(&whole));
            }
        }
    }
}
