#include "analysis/pages/html.h"

#include <sstream>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

// The style works on paper and in the dark; drawings stay black on white.
const char* const kStyle = R"(
:root { color-scheme: light dark; --ink: #111; --paper: #fff; --line: #999; --note: #f3f3f3; }
@media (prefers-color-scheme: dark) { :root { --ink: #eee; --paper: #161616; --line: #777; --note: #262626; } }
body { color: var(--ink); background: var(--paper); font: 1rem/1.5 sans-serif; max-width: 52rem; margin: 2rem auto;
  padding: 0 1rem; }
h1, h2, h3 { line-height: 1.2; }
h2 { border-top: 1px solid var(--line); padding-top: 1rem; margin-top: 2.5rem; }
.warnings { border: 3px solid var(--ink); background: var(--note); padding: 0 1rem; }
.warnings h2 { border: 0; margin-top: 0; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; margin: 1rem 0; font-size: 0.9rem; }
caption { text-align: left; font-weight: bold; padding: 0.3rem 0; }
th, td { border: 1px solid var(--line); padding: 0.2rem 0.6rem; text-align: left; vertical-align: top; }
thead th { background: var(--note); }
figure { margin: 1.5rem 0; break-inside: avoid; }
figure svg { background: #fff; border: 8px solid #fff; box-sizing: border-box; max-width: 100%; height: auto; }
figcaption { font-size: 0.9rem; }
@media print { :root { --ink: #000; --paper: #fff; --note: #fff; } body { margin: 0; max-width: none; }
  tr { break-inside: avoid; } h2, h3 { break-after: avoid; } }
)";

// Such a word is a hash, for example, which may be broken anywhere.
bool has_long_word(const std::string& text) {
    constexpr std::size_t kLong = 40;
    std::istringstream in(text);
    for (std::string word; in >> word;) {
        if (word.size() > kLong)
            return true;
    }
    return false;
}

void append_text(pugi::xml_node parent, const std::string& text) {
    parent.append_child(pugi::node_pcdata).set_value(text.c_str());
}

// "#gpPt0" -> "#spectra-gpPt0", "url(#fill)" -> "url(#spectra-fill)".
void point_at(pugi::xml_attribute attribute, const std::string& id) {
    std::string value = attribute.value();
    if (value.starts_with("#"))
        attribute.set_value(("#" + id + "-" + value.substr(1)).c_str());
    else if (value.starts_with("url(#"))
        attribute.set_value(("url(#" + id + "-" + value.substr(5)).c_str());
}

void make_own(pugi::xml_node node, const std::string& id) {
    for (pugi::xml_attribute attribute = node.first_attribute(); attribute;) {
        const pugi::xml_attribute next = attribute.next_attribute();
        const std::string name = attribute.name();
        if (name.starts_with("xmlns")) {
            node.remove_attribute(attribute);
        } else if (name == "id") {
            attribute.set_value((id + "-" + attribute.value()).c_str());
        } else if (name == "xlink:href" || name == "href") {
            attribute.set_name("href");
            point_at(attribute, id);
        } else if (name == "fill" || name == "stroke" || name == "clip-path" || name == "filter") {
            if (std::string(attribute.value()).starts_with("url("))
                point_at(attribute, id);
        }
        attribute = next;
    }
    for (pugi::xml_node child : node.children())
        make_own(child, id);
}

}  // namespace

pugi::xml_node add_element(pugi::xml_node parent, const char* tag, const std::string& text) {
    append_text(parent, "\n");
    pugi::xml_node element = parent.append_child(tag);
    if (!text.empty())
        append_text(element, clean_text(text));
    return element;
}

void add_paragraph(pugi::xml_node parent, const std::string& text) {
    add_element(parent, "p", text);
}

void add_list(pugi::xml_node parent, const std::vector<std::string>& items) {
    if (items.empty())
        return;
    const pugi::xml_node list = add_element(parent, "ul");
    for (const std::string& item : items)
        add_element(list, "li", item);
}

pugi::xml_node add_table(pugi::xml_node parent, const PageTable& table, NumberColumns numbers) {
    pugi::xml_node frame = add_element(parent, "div");
    frame.append_attribute("class") = "scroll";
    const pugi::xml_node element = add_element(frame, "table");
    add_element(element, "caption", table.caption);
    std::vector<bool> flush_right(table.header.size(), false);
    for (std::size_t i = 0; i < table.header.size() && numbers == NumberColumns::flush_right; ++i)
        flush_right[i] = holds_numbers(table, i);
    const auto add_cell = [&](pugi::xml_node row, const char* tag, const std::string& text, std::size_t i) {
        pugi::xml_node cell = add_element(row, tag, text);
        if (flush_right[i])
            cell.append_attribute("class") = "number";
        else if (numbers == NumberColumns::flush_right && has_long_word(text))
            cell.append_attribute("class") = "long";
        return cell;
    };
    const pugi::xml_node head = add_element(add_element(element, "thead"), "tr");
    for (std::size_t i = 0; i < table.header.size(); ++i)
        add_cell(head, "th", table.header[i], i).append_attribute("scope") = "col";
    const pugi::xml_node body = add_element(element, "tbody");
    for (const std::vector<std::string>& row : table.rows) {
        ISOSEAM_CHECK(row.size() == table.header.size());
        const pugi::xml_node line = add_element(body, "tr");
        add_element(line, "th", row.front()).append_attribute("scope") = "row";
        for (std::size_t i = 1; i < row.size(); ++i)
            add_cell(line, "td", row[i], i);
    }
    return frame;
}

void add_drawing(pugi::xml_node parent, const std::string& svg, const std::string& id) {
    pugi::xml_document drawing;
    const pugi::xml_parse_result parsed =
        drawing.load_buffer(svg.data(), svg.size(), pugi::parse_default | pugi::parse_ws_pcdata_single);
    ISOSEAM_CHECK(parsed);
    pugi::xml_node root = parent.append_copy(drawing.document_element());
    for (const char* told : {"title", "desc"})
        root.child(told).append_attribute("id") = told;
    make_own(root, id);
    root.append_attribute("aria-labelledby") = (id + "-title " + id + "-desc").c_str();
}

HtmlPage::HtmlPage(const std::string& title, const std::string& language, const std::string& more_style) {
    document.append_child(pugi::node_doctype).set_value("html");
    append_text(document, "\n");
    pugi::xml_node html = document.append_child("html");
    html.append_attribute("lang") = language.c_str();
    const pugi::xml_node head = add_element(html, "head");
    add_element(head, "meta").append_attribute("charset") = "utf-8";
    pugi::xml_node viewport = add_element(head, "meta");
    viewport.append_attribute("name") = "viewport";
    viewport.append_attribute("content") = "width=device-width, initial-scale=1";
    add_element(head, "title", title);
    append_text(add_element(head, "style"), kStyle + more_style);
    body = add_element(html, "body");
}

std::string HtmlPage::text() const {
    std::ostringstream out;
    // HTML knows no "<div/>"; blanks between the words of a drawing are drawn.
    document.save(out, "",
                  pugi::format_raw | pugi::format_no_declaration | pugi::format_no_empty_element_tags,
                  pugi::encoding_utf8);
    return out.str() + "\n";
}

}  // namespace isoseam
