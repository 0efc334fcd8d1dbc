#include "analysis/pages/html_document.h"

#include <fmt/format.h>

#include "analysis/pages/html.h"

namespace isoseam {
namespace {

// What calibration pages, which have no list of contents, do not need.
const char* const kDocumentStyle = R"(
body { max-width: 66rem; }
p, li { max-width: 48rem; }
.skip { position: absolute; left: -100rem; }
.skip:focus { left: 1rem; top: 0.5rem; background: var(--paper); color: var(--ink); padding: 0.5rem;
  border: 2px solid var(--ink); }
nav h2 { border: 0; padding: 0; margin: 1rem 0 0; font-size: 1rem; }
nav ol { margin-top: 0.3rem; }
a { color: inherit; }
a:focus-visible, .scroll:focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
.note { border-left: 6px solid var(--ink); background: var(--note); padding: 0.5rem 1rem; margin: 1rem 0; }
.note p { margin: 0; }
.number { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
tbody th { font-weight: normal; }
.long { word-break: break-all; min-width: 14rem; }
caption { font-weight: normal; }
footer { border-top: 1px solid var(--line); margin-top: 2.5rem; font-size: 0.9rem; }
@page { size: A4; margin: 18mm 16mm; }
@media print { body { font-size: 10pt; padding: 0; } nav, .skip { display: none; } .scroll { overflow: visible; }
  table { font-size: 7.5pt; } th, td { padding: 0.1rem 0.3rem; } p, li { max-width: none; } .long { min-width: 0; }
  thead { display: table-header-group; } caption { break-after: avoid; } .note, li { break-inside: avoid; }
  p { orphans: 2; widows: 2; } figure svg { border-width: 0; } }
)";

class Writer {
  public:
    Writer(const PageDocument& document, const DrawSvg& draw)
        : document_(document), draw_(draw), page_(document.title, document.language, kDocumentStyle) {}

    std::string text() {
        pugi::xml_node skip = add_element(page_.body, "a", document_.words.skip);
        skip.append_attribute("class") = "skip";
        skip.append_attribute("href") = "#report";
        const pugi::xml_node header = add_element(page_.body, "header");
        add_element(header, "h1", document_.title);
        for (const std::string& paragraph : document_.lead)
            add_paragraph(header, paragraph);
        add_contents();
        pugi::xml_node main = add_element(page_.body, "main");
        main.append_attribute("id") = "report";
        for (std::size_t i = 0; i < document_.sections.size(); ++i)
            add_section(main, document_.sections[i], fmt::format("section-{}", i + 1), 2);
        if (!document_.closing.empty())
            add_paragraph(add_element(page_.body, "footer"), document_.closing);
        return page_.text();
    }

  private:
    void add_contents() {
        pugi::xml_node nav = add_element(page_.body, "nav");
        nav.append_attribute("aria-labelledby") = "contents";
        add_element(nav, "h2", document_.words.contents).append_attribute("id") = "contents";
        const pugi::xml_node list = add_element(nav, "ol");
        for (std::size_t i = 0; i < document_.sections.size(); ++i)
            add_element(add_element(list, "li"), "a", document_.sections[i].title).append_attribute("href") =
                fmt::format("#section-{}", i + 1).c_str();
    }

    void add_section(pugi::xml_node parent, const PageSection& section, const std::string& id, int level) {
        constexpr int kDeepestHeading = 6;
        pugi::xml_node element = add_element(parent, "section");
        element.append_attribute("aria-labelledby") = id.c_str();
        if (section.warns)
            element.append_attribute("class") = "warnings";
        const std::string tag = fmt::format("h{}", std::min(level, kDeepestHeading));
        add_element(element, tag.c_str(), section.title).append_attribute("id") = id.c_str();
        for (const PageBlock& block : section.blocks)
            std::visit([&](const auto& one) { add(element, one); }, block);
        for (std::size_t i = 0; i < section.sections.size(); ++i)
            add_section(element, section.sections[i], fmt::format("{}-{}", id, i + 1), level + 1);
    }

    void add(pugi::xml_node parent, const PageParagraph& paragraph) { add_paragraph(parent, paragraph.text); }
    void add(pugi::xml_node parent, const PageList& list) { add_list(parent, list.items); }

    void add(pugi::xml_node parent, const PageNote& note) {
        pugi::xml_node frame = add_element(parent, "div");
        frame.append_attribute("class") = "note";
        frame.append_attribute("role") = "note";
        const pugi::xml_node paragraph = add_element(frame, "p");
        add_element(paragraph, "strong", note.lead);
        add_element(paragraph, "span", note.text);
    }

    // What scrolls must be within reach of the keyboard, and have a name.
    void add(pugi::xml_node parent, const PageTable& table) {
        pugi::xml_node frame = add_table(parent, table, NumberColumns::flush_right);
        const std::string id = fmt::format("table-{}", ++tables_);
        frame.append_attribute("tabindex") = "0";
        frame.append_attribute("role") = "region";
        frame.append_attribute("aria-labelledby") = id.c_str();
        frame.child("table").child("caption").append_attribute("id") = id.c_str();
    }

    void add(pugi::xml_node parent, const PageFigure& figure) {
        const pugi::xml_node element = add_element(parent, "figure");
        add_drawing(element, draw_(figure.figure), fmt::format("figure-{}", ++figures_));
        add_element(element, "figcaption", figure.caption);
    }

    const PageDocument& document_;
    const DrawSvg& draw_;
    HtmlPage page_;
    int tables_ = 0;
    int figures_ = 0;
};

}  // namespace

std::string html_document(const PageDocument& document, const DrawSvg& draw) {
    return Writer(document, draw).text();
}

}  // namespace isoseam
