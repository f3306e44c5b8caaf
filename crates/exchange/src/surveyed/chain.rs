//! Edges joined to lines.

use std::collections::BTreeMap;

/// Edges, each told once by its two vertices, as lines that run from vertex to vertex.
///
/// Lines begin where an odd number of edges meet, the lowest vertex first, so that they are few; what
/// is left are closed lines.
pub(super) fn chained(edges: &[[u32; 2]]) -> Vec<Vec<u32>> {
    let mut beside: BTreeMap<u32, Vec<(u32, usize)>> = BTreeMap::new();
    for (edge, &[u, v]) in edges.iter().enumerate() {
        beside.entry(u).or_default().push((v, edge));
        beside.entry(v).or_default().push((u, edge));
    }
    let (odd, even): (Vec<u32>, Vec<u32>) =
        beside.keys().partition(|vertex| beside[vertex].len() % 2 == 1);
    let mut is_used = vec![false; edges.len()];
    let mut lines = Vec::new();
    for start in &odd {
        let n_left = beside[start].iter().filter(|(_, edge)| !is_used[*edge]).count();
        // Where an even number is left, a line that passes takes them two by two.
        if n_left % 2 == 1 {
            lines.push(walk(*start, &beside, &mut is_used));
        }
    }
    for start in odd.into_iter().chain(even) {
        loop {
            let line = walk(start, &beside, &mut is_used);
            if line.len() < 2 {
                break;
            }
            lines.push(line);
        }
    }
    lines
}

fn walk(start: u32, beside: &BTreeMap<u32, Vec<(u32, usize)>>, is_used: &mut [bool]) -> Vec<u32> {
    let mut line = vec![start];
    let mut at = start;
    loop {
        let mut edges = beside.get(&at).into_iter().flatten();
        let Some(&(next, edge)) = edges.find(|(_, edge)| !is_used[*edge]) else { return line };
        is_used[edge] = true;
        line.push(next);
        at = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_edge_stands_in_one_line_once() {
        // A path, a closed triangle and a star.
        let edges = [[0, 1], [1, 2], [4, 5], [4, 6], [5, 6], [8, 9], [8, 10], [8, 11]];
        let lines = chained(&edges);
        let mut walked: Vec<[u32; 2]> = lines
            .iter()
            .flat_map(|line| line.windows(2).map(|p| [p[0].min(p[1]), p[0].max(p[1])]))
            .collect();
        walked.sort_unstable();
        assert_eq!(walked, edges);
        assert_eq!(lines.len(), 4);
        assert_eq!(chained(&[]), Vec::<Vec<u32>>::new());
    }
}
