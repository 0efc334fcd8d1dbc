#pragma once
// A report as a tree of plain data. It is built once; html_document.h and pdf_document.h write it, so that
// both say the same.
//
// All text is UTF-8 and stands letter by letter: nothing in it is mark-up.

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

// What must not be overlooked: in a frame, begun by its lead in bold.
struct PageNote {
    std::string lead;
    std::string text;
};

// The first cell of each row is its header.
struct PageTable {
    std::string caption;
    std::vector<std::string> header;
    std::vector<std::vector<std::string>> rows;  // as many cells as the header
};
// Whether the cells of a column but its header are numbers, counts or signs for a missing one: such columns
// are set flush right. Days are words. Never the first column.
bool holds_numbers(const PageTable& table, std::size_t column);

// For those who cannot see it the figure's title and description stand instead.
struct PageFigure {
    std::string caption;
    Figure figure;
};

using PageBlock = std::variant<PageParagraph, PageList, PageNote, PageTable, PageFigure>;

struct PageSection {
    std::string title;
    std::vector<PageBlock> blocks;
    std::vector<PageSection> sections;
    bool warns = false;  // framed, since it stands for warnings
};

// What the renderers say by themselves.
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
    std::string program;          // who wrote it
    std::string closing;          // a paragraph at the end
    std::string language = "en";  // of the text, BCP 47
    // Of the newest thing that it tells of, "2026-11-25T16:03:12Z": documents carry a date of making, which
    // must not depend on the day of writing.
    std::string dated_utc;
    PageWords words{};
};

// Writes "Table 1. " before the captions of tables and "Figure 1. " before those of figures, each counted
// through the document, in its words.
void number_captions(PageDocument& document);

// How much of a numbered caption is "Table 1.".
std::size_t caption_number_bytes(const std::string& caption);

// Blocks of all sections in the order of reading.
void for_each_block(const PageDocument& document, const std::function<void(const PageBlock&)>& visit);

using DrawSvg = std::function<std::string(const Figure&)>;
// Draws each figure once, however often it is asked for; figures are told apart by where they lie, so they
// must stay there.
DrawSvg remembered(DrawSvg draw);

}  // namespace isoseam
