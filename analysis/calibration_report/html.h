#pragma once
// A page of HTML that is well-formed XML too. Text goes in letter by letter: nothing in it is mark-up.

#include <pugixml.hpp>
#include <string>
#include <utility>
#include <vector>

namespace isoseam {

// An element at the end of `parent`.
pugi::xml_node add_element(pugi::xml_node parent, const char* tag, const std::string& text = "");
void add_paragraph(pugi::xml_node parent, const std::string& text);
void add_list(pugi::xml_node parent, const std::vector<std::string>& items);

// The first cell of each row is its header.
struct HtmlTable {
    std::string caption;
    std::vector<std::string> header;
    std::vector<std::vector<std::string>> rows;  // as many cells as the header
};
void add_table(pugi::xml_node parent, const HtmlTable& table);

// A drawing that gnuplot.h made, as part of the page: its ids, which are the same in each of them, begin with
// `id`; namespaces, which HTML knows by itself, are left out, so that no address stands in the page.
void add_drawing(pugi::xml_node parent, const std::string& svg, const std::string& id);

// <html> with language, title, style and an empty body.
struct HtmlPage {
    explicit HtmlPage(const std::string& title);
    pugi::xml_document document;
    pugi::xml_node body;
    std::string text() const;
};

}  // namespace isoseam
