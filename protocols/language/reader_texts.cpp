// Texts that participants read, in one language or several.

#include <fmt/format.h>

#include <algorithm>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

// A language code has two or three small letters, and may have a region: "en", "de", "pt-BR" (BCP 47).
bool is_language_code(const std::string& code) {
    const auto within = [](char c, char first, char last) { return c >= first && c <= last; };
    const auto small = [&](char c) { return within(c, 'a', 'z'); };
    const auto capital = [&](char c) { return within(c, 'A', 'Z'); };
    const std::string language = code.substr(0, code.find('-'));
    const std::string region = code.size() > language.size() ? code.substr(language.size() + 1) : "";
    return (language.size() == 2 || language.size() == 3) &&
           std::all_of(language.begin(), language.end(), small) &&
           (code.size() == language.size() ||
            (region.size() == 2 && std::all_of(region.begin(), region.end(), capital)));
}

std::vector<std::string> read_languages(const YamlNode& node) {
    std::vector<std::string> languages;
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && items.empty())
        node.fault("no language", "list their codes, the usual one first, such as [en, de]");
    for (const YamlNode& item : items) {
        const std::optional<std::string> code = item.text();
        if (!code)
            continue;
        if (!is_language_code(*code)) {
            item.fault(fmt::format("'{}' is no code of a language", *code),
                       "write two or three small letters, such as en, de or pt-BR");
        } else if (std::find(languages.begin(), languages.end(), *code) != languages.end()) {
            item.fault(fmt::format("'{}' stands twice", *code), "keep one of them");
        } else {
            languages.push_back(*code);
        }
    }
    return languages;
}

std::vector<std::string> read_paragraphs(const YamlNode& node) {
    std::vector<std::string> paragraphs;
    if (node.is_sequence() && node.items().empty())
        node.fault("no paragraph", "write at least one");
    for (const YamlNode& paragraph : node.is_scalar() ? std::vector<YamlNode>{node} : node.items())
        paragraphs.push_back(read_words(paragraph).value_or(""));
    return paragraphs;
}

}  // namespace

TextReader::TextReader(const YamlNode& languages, Protocol& protocol)
    : languages_(read_languages(languages)), known_(!languages.exists() || !languages_.empty()) {
    protocol.languages = languages_;
}

template <class Read>
auto TextReader::by_language(const YamlNode& node, const Read& read) const {
    ByLanguage<decltype(read(node))> made;
    if (!node.is_map()) {
        if (node.exists())
            made.values[""] = read(node);
        return made;
    }
    if (languages_.empty()) {
        if (known_)
            node.fault("a text for each language, but the file names no languages",
                       "write a single text, or name the languages at the top: 'languages: [en, de]'");
        return made;
    }
    node.only_keys(languages_);
    for (const std::string& language : languages_) {
        const YamlNode text = node.at(language, "the text in this language");
        if (text.exists())
            made.values[language] = read(text);
    }
    return made;
}

Words TextReader::words(const YamlNode& node) const {
    return by_language(node, [](const YamlNode& text) { return read_words(text).value_or(""); });
}

Paragraphs TextReader::paragraphs(const YamlNode& node) const {
    return by_language(node, read_paragraphs);
}

std::vector<InstructionPage> TextReader::pages(const YamlNode& node) const {
    std::vector<InstructionPage> pages;
    for (const YamlNode& page : node.items()) {
        page.only_keys({"heading", "text", "keys"});
        InstructionPage read;
        read.heading = words(page.at("heading", "the page's heading"));
        read.paragraphs = paragraphs(page.at("text", "a paragraph, or a list of paragraphs"));
        read.keys = page.find("keys").yes_no().value_or(false);
        pages.push_back(std::move(read));
    }
    return pages;
}

}  // namespace isoseam
