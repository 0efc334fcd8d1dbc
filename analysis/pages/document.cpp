#include "analysis/pages/document.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <memory>
#include <string_view>

#include "base/errors.h"

namespace isoseam {
namespace {

bool is_number_like(const std::string& cell) {
    if (cell.empty() || cell == "n.d." || cell == "\u2013")
        return true;
    const std::string minus = "\u2212";
    const std::size_t first = cell.starts_with(minus) ? minus.size() : cell.find_first_not_of("+-<");
    // "2026-11-25" and "15 of July" are words, "-0.5 to -1e-05" is a number.
    for (std::size_t i = first + 1; i < cell.size(); ++i) {
        if (cell[i] == '-' && cell[i - 1] != 'e' && cell[i - 1] != ' ')
            return false;
    }
    return first < cell.size() && cell[first] >= '0' && cell[first] <= '9' &&
           std::all_of(cell.begin() + static_cast<std::ptrdiff_t>(first), cell.end(), [](char letter) {
               return (letter >= '0' && letter <= '9') ||
                      std::string_view(" .,+-eto%").find(letter) != std::string_view::npos ||
                      static_cast<unsigned char>(letter) >= 0x80;
           });
}

template <typename Sections, typename Visit>
void visit_blocks(Sections& sections, const Visit& visit) {
    for (auto& section : sections) {
        for (auto& block : section.blocks)
            visit(block);
        visit_blocks(section.sections, visit);
    }
}

}  // namespace

bool holds_numbers(const PageTable& table, std::size_t column) {
    return column > 0 && std::all_of(table.rows.begin(), table.rows.end(), [column](const auto& row) {
               ISOSEAM_CHECK(column < row.size());
               return is_number_like(row[column]);
           });
}

void number_captions(PageDocument& document) {
    int tables = 0;
    int figures = 0;
    visit_blocks(document.sections, [&](PageBlock& block) {
        if (auto* table = std::get_if<PageTable>(&block))
            table->caption = fmt::format("{} {}. {}", document.words.table, ++tables, table->caption);
        else if (auto* figure = std::get_if<PageFigure>(&block))
            figure->caption = fmt::format("{} {}. {}", document.words.figure, ++figures, figure->caption);
    });
}

std::size_t caption_number_bytes(const std::string& caption) {
    const std::size_t dot = caption.find('.');
    return dot == std::string::npos ? 0 : dot + 1;
}

void for_each_block(const PageDocument& document, const std::function<void(const PageBlock&)>& visit) {
    visit_blocks(document.sections, visit);
}

DrawSvg remembered(DrawSvg draw) {
    auto drawn = std::make_shared<std::map<const Figure*, std::string>>();
    return [draw = std::move(draw), drawn](const Figure& figure) {
        const auto found = drawn->find(&figure);
        return found != drawn->end() ? found->second : (*drawn)[&figure] = draw(figure);
    };
}

}  // namespace isoseam
