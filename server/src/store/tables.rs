//! The tables and their columns, read from the steps of their history, so that a backup never misses one.

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Text.
    Text,
    /// A whole number.
    Number,
}

/// A table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Its name.
    pub name: &'static str,
    /// Its columns in order.
    pub columns: Vec<(&'static str, Holds)>,
}

/// The tables in the order they were made: none refers to a later one.
#[must_use]
pub fn tables() -> Vec<Table> {
    let mut tables: Vec<Table> = Vec::new();
    for line in super::database::steps_for_sqlite().flat_map(str::lines) {
        if let Some(name) = line.strip_prefix("CREATE TABLE ").and_then(|l| l.strip_suffix(" (")) {
            tables.push(Table { name, columns: Vec::new() });
        } else if let Some(rest) = line.strip_prefix("ALTER TABLE ")
            && let Some((name, column)) = rest.split_once(" ADD COLUMN ")
            && let (Some(column), Some(table)) = (column_of(column), tables.iter_mut().find(|t| t.name == name))
        {
            table.columns.push(column);
        } else if let (Some(column), Some(table)) = (line.strip_prefix("    ").and_then(column_of), tables.last_mut()) {
            table.columns.push(column);
        }
    }
    tables
}

fn column_of(line: &'static str) -> Option<(&'static str, Holds)> {
    let (name, rest) = line.split_once(' ')?;
    let kind = rest.split([' ', ',', ';']).next()?;
    match kind {
        "TEXT" => Some((name, Holds::Text)),
        "BIGINT" => Some((name, Holds::Number)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_is_found_with_its_columns() {
        let tables = tables();
        let made = super::super::database::steps_for_sqlite().map(|s| s.matches("CREATE TABLE").count()).sum::<usize>();
        assert_eq!(tables.len(), made);
        assert!(tables.iter().all(|t| !t.columns.is_empty()));
        let token = tables.iter().find(|t| t.name == "token").unwrap();
        assert_eq!(token.columns.last(), Some(&("revoked_at", Holds::Number)));
        assert_eq!(token.columns.len(), 8);
    }
}
