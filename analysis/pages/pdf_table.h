#pragma once
// This class sets a table on the pages of a PDF.

#include "analysis/pages/pdf_canvas.h"

namespace isoseam {

// The table is at most as wide as the text. Each column takes room according to its contents, and long words
// are broken only when nothing else helps.
class PdfTable {
  public:
    PdfTable(PdfCanvas& canvas, const PageTable& table);
    // Gives the height of caption, header and first row together, which must stay on one page.
    double first_height_pt() const;
    // Moves the canvas's place below the table. If the table continues on the next page, its header is
    // repeated there.
    void show();

  private:
    struct Row {
        std::vector<TextBlock> cells;
        double height_pt = 0.0;
    };
    Row row_of(const std::vector<std::string>& cells, bool bold) const;
    double widest_cell(std::size_t column) const;
    void choose_widths();
    void add_rows(const std::vector<std::string>& cells);
    double show_part(std::size_t& next);
    void show_row(const Row& row, bool is_header) const;

    PdfCanvas& canvas_;
    const PageTable& table_;
    std::vector<bool> flush_right_;
    std::vector<double> widths_pt_;
    double size_pt_;
    TextBlock caption_;
    Row header_;
    std::vector<Row> rows_;
};

}  // namespace isoseam
