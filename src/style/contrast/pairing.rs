//! Pairing: which stroke of one groove is which of the other, and which lane is which lane.
//!
//! Of all pairings the one that costs least, by [`crate::style::crossing::costs`]. An assignment problem, solved by the
//! method of shortest augmenting paths (H. Kuhn, "The Hungarian method for the assignment problem", 1955; J. Edmonds and
//! R. Karp, "Theoretical improvements in algorithmic efficiency for network flow problems", 1972).

use crate::rhythm::{Lane, Stroke, Tick};
use crate::style::crossing::costs::{self, STROKE};

/// A stroke on the place where it is compared, which need not be where it is written.
#[derive(Clone, Copy, Debug)]
pub struct Set<'g> {
    /// Where it is compared.
    pub at: Tick,
    /// The stroke.
    pub stroke: &'g Stroke,
}

/// One of the first groove, one of the second, or both: places in the lists that were paired.
pub type Pair = (Option<usize>, Option<usize>);

/// More than any sum of costs.
const NEVER: i64 = 1 << 40;

/// The column of each row so that the sum of `cost` is least; there are at least as many columns as rows.
pub fn assign(rows: usize, columns: usize, cost: &dyn Fn(usize, usize) -> i64) -> Vec<usize> {
    let columns = columns.max(rows);
    // Potentials of rows and columns, and the row of each column; row and column 0 are the algorithm's own.
    let (mut of_row, mut of_column) = (vec![0; rows + 1], vec![0; columns + 1]);
    let (mut taken_by, mut before) = (vec![0_usize; columns + 1], vec![0_usize; columns + 1]);
    for row in 1..=rows {
        taken_by[0] = row;
        let mut column = 0;
        let (mut least, mut used) = (vec![NEVER * 4; columns + 1], vec![false; columns + 1]);
        while taken_by[column] != 0 {
            used[column] = true;
            let from = taken_by[column];
            let (mut delta, mut next) = (NEVER * 4, 0);
            for other in (1..=columns).filter(|&other| !used[other]) {
                let reduced = cost(from - 1, other - 1) - of_row[from] - of_column[other];
                if reduced < least[other] {
                    (least[other], before[other]) = (reduced, column);
                }
                if least[other] < delta {
                    (delta, next) = (least[other], other);
                }
            }
            for other in 0..=columns {
                if used[other] {
                    of_row[taken_by[other]] += delta;
                    of_column[other] -= delta;
                } else {
                    least[other] -= delta;
                }
            }
            column = next;
        }
        while column != 0 {
            taken_by[column] = taken_by[before[column]];
            column = before[column];
        }
    }
    let mut found = vec![0; rows];
    for (column, &row) in taken_by.iter().enumerate().skip(1).filter(|(_, row)| **row != 0) {
        found[row - 1] = column - 1;
    }
    found
}

/// Pairs the members of two lists. `pair` is what makes the one of the other (`None` if nothing does), `without` and
/// `anew` what the one costs gone and the other put in. In order of the first list; what is new comes last.
fn paired(
    (a, b): (usize, usize),
    pair: &dyn Fn(usize, usize) -> Option<i64>,
    without: &dyn Fn(usize) -> i64,
    anew: &dyn Fn(usize) -> i64,
) -> Vec<Pair> {
    // A column for every member of the second list, less what is saved by not putting it in; then one for each that goes.
    let cost = |row: usize, column: usize| {
        if column < b { pair(row, column).map_or(NEVER, |cost| cost - anew(column)) } else { without(row) }
    };
    let columns = assign(a, a + b, &cost);
    let mut pairs: Vec<Pair> =
        columns.iter().enumerate().map(|(row, &column)| (Some(row), (column < b).then_some(column))).collect();
    pairs.extend((0..b).filter(|column| !columns.contains(column)).map(|column| (None, Some(column))));
    pairs
}

/// Pairs strokes, both in order of place, around a loop of `length` ticks; and what the differences cost. In order of place.
pub fn strokes(a: &[Set], b: &[Set], length: Tick) -> (Vec<Pair>, i64) {
    // What is the same is itself: the costs are a metric, so nothing is won by pairing it otherwise.
    let mut pairs: Vec<Pair> = Vec::with_capacity(a.len().max(b.len()));
    let (mut rest_a, mut rest_b) = (Vec::new(), vec![true; b.len()]);
    for (index, set) in a.iter().enumerate() {
        let near = b.partition_point(|other| other.at < set.at);
        let same = b.get(near).filter(|other| other.at == set.at && costs::touch(set.stroke, other.stroke) == 0);
        match same {
            Some(_) if rest_b[near] => {
                rest_b[near] = false;
                pairs.push((Some(index), Some(near)));
            }
            _ => rest_a.push(index),
        }
    }
    let rest_b: Vec<usize> = (0..b.len()).filter(|&index| rest_b[index]).collect();
    let between =
        |x: &Set, y: &Set| Some(costs::moved(costs::way(x.at, y.at, length))? + costs::touch(x.stroke, y.stroke));
    let pair = |x: usize, y: usize| between(&a[rest_a[x]], &b[rest_b[y]]).filter(|&cost| cost < 2 * STROKE);
    let others = paired((rest_a.len(), rest_b.len()), &pair, &|_| STROKE, &|_| STROKE);
    let mut sum = 0;
    for (x, y) in others {
        sum += match (x, y) {
            (Some(x), Some(y)) => pair(x, y).unwrap_or(2 * STROKE),
            _ => STROKE,
        };
        pairs.push((x.map(|x| rest_a[x]), y.map(|y| rest_b[y])));
    }
    let place = |&(x, y): &Pair| (x.map_or(Tick(i64::MAX), |x| a[x].at)).min(y.map_or(Tick(i64::MAX), |y| b[y].at));
    pairs.sort_by_key(place);
    (pairs, sum)
}

/// The strokes of a lane where they are written.
pub fn written(lane: &Lane) -> Vec<Set<'_>> {
    lane.strokes().iter().map(|stroke| Set { at: stroke.at, stroke }).collect()
}

/// Pairs lanes by what it costs to make the one of the other. `sets` says where the strokes of a lane of the first (false)
/// or second (true) groove are compared, around a loop of `length` ticks.
pub fn lanes<'g>(
    (a, b): (&'g [Lane], &'g [Lane]),
    sets: &dyn Fn(&'g Lane, bool) -> Vec<Set<'g>>,
    length: Tick,
) -> Vec<Pair> {
    let (of_a, of_b): (Vec<_>, Vec<_>) =
        (a.iter().map(|lane| sets(lane, false)).collect(), b.iter().map(|lane| sets(lane, true)).collect());
    let known: Vec<Vec<Option<i64>>> = a
        .iter()
        .zip(&of_a)
        .map(|(lane, own)| {
            let between = |(other, theirs): (&Lane, &Vec<Set>)| {
                costs::head(&lane.head, &other.head).map(|head| head + strokes(own, theirs, length).1)
            };
            b.iter().zip(&of_b).map(between).collect()
        })
        .collect();
    let whole = |sets: &Vec<Set>| costs::LANE + STROKE * sets.len() as i64;
    let pair = |x: usize, y: usize| known[x][y];
    paired((a.len(), b.len()), &pair, &|x| whole(&of_a[x]), &|y| whole(&of_b[y]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::Loudness;

    #[test]
    fn the_cheapest_assignment() {
        for (table, want) in [
            (vec![vec![4, 1, 3], vec![2, 0, 5], vec![3, 2, 2]], 5),
            (vec![vec![1, 2], vec![1, 9]], 3),
            (vec![vec![7, 7, 1]], 1),
            (vec![vec![-5, 0], vec![-4, 0]], -5),
        ] {
            let columns = assign(table.len(), table[0].len(), &|row, column| table[row][column]);
            let sum: i64 = columns.iter().enumerate().map(|(row, &column)| table[row][column]).sum();
            assert_eq!(sum, want, "{table:?} {columns:?}");
        }
    }

    #[track_caller]
    fn check(a: &[(i64, u8)], b: &[(i64, u8)], want: &[(Option<i64>, Option<i64>)], cost: i64) {
        let made = |list: &[(i64, u8)]| -> Vec<Stroke> {
            list.iter().map(|&(at, loud)| Stroke::new(Tick(at), Loudness::new(loud).unwrap())).collect()
        };
        let (a, b) = (made(a), made(b));
        fn set(stroke: &Stroke) -> Set<'_> {
            Set { at: stroke.at, stroke }
        }
        let (x, y): (Vec<Set>, Vec<Set>) = (a.iter().map(set).collect(), b.iter().map(set).collect());
        let (pairs, sum) = strokes(&x, &y, Tick(3840));
        let places: Vec<_> = pairs.iter().map(|&(i, j)| (i.map(|i| a[i].at.0), j.map(|j| b[j].at.0))).collect();
        assert_eq!((places.as_slice(), sum), (want, cost));
    }

    #[test]
    fn strokes_stay_move_come_and_go() {
        check(&[(0, 88)], &[(0, 88)], &[(Some(0), Some(0))], 0);
        check(&[(0, 88)], &[(0, 40)], &[(Some(0), Some(0))], 50);
        check(&[(0, 88)], &[(240, 88)], &[(Some(0), Some(240))], 125);
        check(&[(0, 88)], &[(960, 88)], &[(Some(0), None), (None, Some(960))], 200);
        // Around the loop.
        check(&[(3600, 88)], &[(0, 88)], &[(Some(3600), Some(0))], 125);
        // What stays is itself, though another could come here for less way.
        check(&[(0, 88), (240, 88)], &[(240, 88), (480, 88)], &[(Some(0), Some(480)), (Some(240), Some(240))], 150);
        check(&[], &[(240, 88)], &[(None, Some(240))], 100);
        // So much about it changes that it is another.
        check(&[(0, 88)], &[(720, 40)], &[(Some(0), None), (None, Some(720))], 200);
    }
}
