#pragma once
// A report is a tree of plain data. It is built once; html_document.h and pdf_document.h write it, so that
// both say the same.
//
// All text is UTF-8 and appears as it stands: nothing in it is mark-up.

#include <functional>
#include <string>
#include <variant>
#include <vector>

#include "analysis/figures/figure.h"

namespace isoseam {

struct PageParagraph {
    std::string text;
};

struct PageList {
    std::vector<std::string> items;
};

// A note holds what must not be overlooked. It stands in a frame and begins with its lead in bold.
struct PageNote {
    std::string lead;
    std::string text;
};

// The first cell of each row is its header.
struct PageTable {
    std::string caption;
    std::vector<std::string> header;
    // Each row has as many cells as the header.
    std::vector<std::vector<std::string>> rows = {};
};
// Says whether the cells of a column, except its header, are numbers, counts or signs for a missing one. Such
// columns are set flush right. Days count as words. The first column never counts as numbers.
bool holds_numbers(const PageTable& table, std::size_t column);

// For readers who cannot see the figure, its title and description are given instead.
struct PageFigure {
    std::string caption;
    Figure figure;
};

using PageBlock = std::variant<PageParagraph, PageList, PageNote, PageTable, PageFigure>;

struct PageSection {
    std::string title;
    std::vector<PageBlock> blocks = {};
    std::vector<PageSection> sections = {};
    // True if the section is framed because it holds warnings.
    bool warns = false;
};

// These are the words that the renderers add by themselves.
struct PageWords {
    std::string contents = "Contents";
    std::string skip = "Skip to the report";
    std::string table = "Table";
    std::string figure = "Figure";
    std::string page = "page";
};

struct PageDocument {
    std::string title;
    std::vector<std::string> lead;  // paragraphs below the title
    std::vector<PageSection> sections;
    // The name of the program that wrote the document.
    std::string program;
    std::string closing;          // a paragraph at the end
    std::string language = "en";  // of the text, BCP 47
    // The time of the newest thing that the document reports, as in "2026-11-25T16:03:12Z". Documents carry a
    // date of making, and this date must not depend on the day of writing.
    std::string dated_utc;
    PageWords words{};
};

// Writes "Table 1. " before the captions of tables and "Figure 1. " before the captions of figures. Each kind
// is counted through the whole document, and the words are those of the document.
void number_captions(PageDocument& document);

// Gives how many bytes at the beginning of a numbered caption are "Table 1.".
std::size_t caption_number_bytes(const std::string& caption);

// Visits the blocks of all sections in the order of reading.
void for_each_block(const PageDocument& document, const std::function<void(const PageBlock&)>& visit);

using DrawSvg = std::function<std::string(const Figure&)>;
// Draws each figure only once, however often it is asked for. Figures are told apart by their address in
// memory, so they must stay there.
DrawSvg remembered(DrawSvg draw);

}  // namespace isoseam
