#pragma once
// A page of HTML that is well-formed XML too. Text goes in letter by letter: nothing in it is mark-up.

#include <pugixml.hpp>
#include <string>
#include <vector>

#include "analysis/pages/document.h"

namespace isoseam {

// An element at the end of `parent`.
pugi::xml_node add_element(pugi::xml_node parent, const char* tag, const std::string& text = "");
void add_paragraph(pugi::xml_node parent, const std::string& text);
void add_list(pugi::xml_node parent, const std::vector<std::string>& items);

enum class NumberColumns { as_words, flush_right };
// Numbers flush right also lets long words break (by class; the style is the page's). In an element that
// scrolls sideways where the page is narrow, which is given back.
pugi::xml_node add_table(pugi::xml_node parent, const PageTable& table,
                         NumberColumns numbers = NumberColumns::as_words);

// A drawing that gnuplot.h made, as part of the page: its ids, which are the same in each of them, begin with
// `id`; namespaces, which HTML knows by itself, are left out, so that no address stands in the page.
void add_drawing(pugi::xml_node parent, const std::string& svg, const std::string& id);

// <html> with language, title, style and an empty body. `more_style` is CSS of our own, written after the
// common rules.
struct HtmlPage {
    explicit HtmlPage(const std::string& title, const std::string& language = "en",
                      const std::string& more_style = "");
    pugi::xml_document document;
    pugi::xml_node body;
    std::string text() const;
};

}  // namespace isoseam
