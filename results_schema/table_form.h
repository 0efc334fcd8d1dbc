#pragma once
// The two forms in which tables are written.

namespace isoseam {

// csv follows RFC 4180; a cell is empty where there is no such thing. tsv has tabs, line feeds, and "n/a" in
// such a cell, as BIDS asks of its tables.
//
//     settings_table_rows(folder, TableForm::tsv)
enum class TableForm { csv, tsv };

}  // namespace isoseam
