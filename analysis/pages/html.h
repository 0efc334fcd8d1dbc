#pragma once
// This header makes a page of HTML that is well-formed XML too. Text appears as it stands: nothing in it is
// mark-up.

#include <pugixml.hpp>
#include <string>
#include <vector>

#include "analysis/pages/document.h"

namespace isoseam {

// Adds an element at the end of `parent`.
pugi::xml_node add_element(pugi::xml_node parent, const char* tag, const std::string& text = "");
void add_paragraph(pugi::xml_node parent, const std::string& text);
void add_list(pugi::xml_node parent, const std::vector<std::string>& items);

enum class NumberColumns { as_words, flush_right };
// The choice "numbers flush right" also lets long words break (it sets a class; the page has the style). The
// table stands in an element that scrolls sideways where the page is narrow; this element is returned.
pugi::xml_node add_table(pugi::xml_node parent, const PageTable& table,
                         NumberColumns numbers = NumberColumns::as_words);

// Adds a drawing that gnuplot.h made to the page. All such drawings have the same ids, so each id is made to
// begin with `id`. Namespaces, which HTML knows by itself, are left out, so that no address stands in the
// page.
void add_drawing(pugi::xml_node parent, const std::string& svg, const std::string& id);

// A page is <html> with language, title, style and an empty body. `more_style` is CSS of our own, written
// after the common rules.
struct HtmlPage {
    explicit HtmlPage(const std::string& title, const std::string& language = "en",
                      const std::string& more_style = "");
    pugi::xml_document document;
    pugi::xml_node body;
    std::string text() const;
};

}  // namespace isoseam
