#include "analysis/pages/pdf_table.h"

#include <algorithm>
#include <numeric>
#include <sstream>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kCellPt = 7.5;
constexpr double kSmallestCellPt = 5.5;
constexpr double kCellSidePt = 3.5;  // from a cell's edge to its words
constexpr double kCellAbovePt = 2.0;
constexpr double kAboveTablePt = 4.0;
constexpr double kBelowTablePt = 10.0;
constexpr double kLongestWordPt = 90.0;  // a longer one (a hash, say) may be broken
constexpr double kTallestCaptionPt = 100.0;
constexpr double kThickRulePt = 0.8;
constexpr double kThinRulePt = 0.3;

struct Wish {
    double least_pt = 0.0;  // so that no word breaks
    double most_pt = 0.0;   // so that no line breaks
};

double width_of(const PdfCanvas& canvas, const std::string& words, double size_pt, bool bold) {
    return PdfCanvas::width_pt(canvas.text(words, {size_pt, bold, 0.0, false}));
}

void widen(Wish& wish, const PdfCanvas& canvas, const std::string& words, double size_pt, bool bold) {
    wish.most_pt = std::max(wish.most_pt, width_of(canvas, words, size_pt, bold));
    std::istringstream in(words);
    for (std::string word; in >> word;)
        wish.least_pt =
            std::max(wish.least_pt, std::min(kLongestWordPt, width_of(canvas, word, size_pt, bold)));
}

// Each column gets the width that it wishes if there is room. Otherwise each gets its least width, and what
// is left is shared according to how much more each wishes. The result is empty if the least widths together
// are too much.
std::vector<double> shared_out(const std::vector<Wish>& wishes, double room_pt) {
    double least = 0.0;
    double more = 0.0;
    for (const Wish& wish : wishes) {
        least += wish.least_pt;
        more += wish.most_pt - wish.least_pt;
    }
    if (least > room_pt)
        return {};
    const double share = more > 0.0 ? std::min(1.0, (room_pt - least) / more) : 0.0;
    std::vector<double> widths;
    for (const Wish& wish : wishes)
        widths.push_back(wish.least_pt + share * (wish.most_pt - wish.least_pt));
    return widths;
}

}  // namespace

PdfTable::PdfTable(PdfCanvas& canvas, const PageTable& table)
    : canvas_(canvas), table_(table), size_pt_(kCellPt), caption_(canvas.caption(table.caption)) {
    for (std::size_t i = 0; i < table.header.size(); ++i)
        flush_right_.push_back(holds_numbers(table, i));
    choose_widths();
    header_ = row_of(table.header, true);
    for (const std::vector<std::string>& cells : table.rows) {
        ISOSEAM_CHECK(cells.size() == table.header.size());
        std::vector<std::string> clean;
        for (const std::string& cell : cells)
            clean.push_back(clean_text(cell));
        add_rows(clean);
    }
}

double PdfTable::widest_cell(std::size_t column) const {
    double widest = 0.0;
    for (const std::vector<std::string>& row : table_.rows)
        widest = std::max(widest, width_of(canvas_, row[column], size_pt_, false));
    return widest;
}

void PdfTable::choose_widths() {
    constexpr double kSmaller = 0.93;
    constexpr double kRounding = 0.5;  // of Pango's units, so that what fits does not break
    const double padding_pt = 2.0 * kCellSidePt * static_cast<double>(table_.header.size());
    for (;; size_pt_ *= kSmaller) {
        std::vector<Wish> wishes(table_.header.size());
        for (std::size_t i = 0; i < wishes.size(); ++i) {
            widen(wishes[i], canvas_, table_.header[i], size_pt_, true);
            for (const std::vector<std::string>& row : table_.rows)
                widen(wishes[i], canvas_, row[i], size_pt_, false);
            if (flush_right_[i])  // numbers stay whole; their header may break
                wishes[i].least_pt = std::max(wishes[i].least_pt, widest_cell(i));
            wishes[i].least_pt += kRounding;
            wishes[i].most_pt += kRounding;
        }
        widths_pt_ = shared_out(wishes, kTextWidthPt - padding_pt);
        if (!widths_pt_.empty())
            return;
        if (size_pt_ < kSmallestCellPt) {  // then words break
            widths_pt_.assign(wishes.size(),
                              (kTextWidthPt - padding_pt) / static_cast<double>(wishes.size()));
            return;
        }
    }
}

PdfTable::Row PdfTable::row_of(const std::vector<std::string>& cells, bool bold) const {
    Row row;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        row.cells.push_back(canvas_.text(cells[i], {size_pt_, bold, widths_pt_[i], flush_right_[i]}));
        row.height_pt = std::max(row.height_pt, PdfCanvas::height_pt(row.cells.back()));
    }
    row.height_pt += 2.0 * kCellAbovePt;
    return row;
}

// A row that no page could hold becomes several, line by line.
void PdfTable::add_rows(const std::vector<std::string>& cells) {
    Row row = row_of(cells, false);
    const double most_pt = kTextHeightPt - header_.height_pt - kTallestCaptionPt;
    if (row.height_pt <= most_pt) {
        rows_.push_back(std::move(row));
        return;
    }
    std::vector<std::string> above;
    std::vector<std::string> below;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const std::size_t end = PdfCanvas::bytes_within(row.cells[i], most_pt - 2.0 * kCellAbovePt);
        above.push_back(cells[i].substr(0, end));
        below.push_back(cells[i].substr(std::min(end, cells[i].size())));
    }
    ISOSEAM_CHECK(below != cells);
    rows_.push_back(row_of(above, false));
    add_rows(below);
}

double PdfTable::first_height_pt() const {
    return kAboveTablePt + PdfCanvas::height_pt(caption_) + 2.0 * kCellAbovePt + header_.height_pt +
           (rows_.empty() ? 0.0 : rows_.front().height_pt);
}

void PdfTable::show_row(const Row& row, bool is_header) const {
    const PdfTag line(canvas_.cairo(), "TR");
    double x_pt = kMarginPt;
    for (std::size_t i = 0; i < row.cells.size(); ++i) {
        const PdfTag cell(canvas_.cairo(), is_header || i == 0 ? "TH" : "TD");
        canvas_.show(row.cells[i], x_pt + kCellSidePt, canvas_.y_pt() + kCellAbovePt);
        x_pt += widths_pt_[i] + 2.0 * kCellSidePt;
    }
    canvas_.move_down(row.height_pt);
}

// Shows as many rows as this page takes, from `next` on, and moves `next`. Gives the width. Rules are drawn
// afterwards, since they are no part of the table's words.
double PdfTable::show_part(std::size_t& next) {
    const double width_pt = std::accumulate(widths_pt_.begin(), widths_pt_.end(), 0.0) +
                            2.0 * kCellSidePt * static_cast<double>(widths_pt_.size());
    std::vector<double> rules_pt;
    const double top_pt = canvas_.y_pt();
    {
        const PdfTag table(canvas_.cairo(), "Table");
        show_row(header_, true);
        const double below_header_pt = canvas_.y_pt();
        do {
            rules_pt.push_back(canvas_.y_pt());
            show_row(rows_[next++], false);
        } while (next < rows_.size() && rows_[next].height_pt <= canvas_.room_pt());
        rules_pt.front() = below_header_pt;
    }
    const double right_pt = kMarginPt + width_pt;
    canvas_.line(kMarginPt, right_pt, top_pt, kThickRulePt);
    for (const double rule_pt : rules_pt)
        canvas_.line(kMarginPt, right_pt, rule_pt, rule_pt == rules_pt.front() ? kThickRulePt : kThinRulePt);
    canvas_.line(kMarginPt, right_pt, canvas_.y_pt(), kThickRulePt);
    return width_pt;
}

void PdfTable::show() {
    canvas_.need(first_height_pt());
    if (!canvas_.at_top())
        canvas_.move_down(kAboveTablePt);
    {
        const PdfTag caption(canvas_.cairo(), "Caption");
        canvas_.show(caption_, kMarginPt, canvas_.y_pt());
    }
    canvas_.move_down(PdfCanvas::height_pt(caption_) + 2.0 * kCellAbovePt);
    for (std::size_t next = 0; next < rows_.size();) {
        if (next > 0)
            canvas_.new_page();
        show_part(next);
    }
    canvas_.move_down(kBelowTablePt);
}

}  // namespace isoseam
