#pragma once
// Parts of a report's document, for tests.

#include <catch2/catch.hpp>

#include "analysis/study_report/study_report.h"

namespace isoseam::test {

inline PageDocument report_of(const std::vector<SessionFolder>& folders) {
    return study_report(gather_study(folders), "a test");
}

inline const PageSection* section_named(const std::vector<PageSection>& sections, const std::string& begin) {
    for (const PageSection& section : sections) {
        if (section.title.starts_with(begin))
            return &section;
        if (const PageSection* found = section_named(section.sections, begin))
            return found;
    }
    return nullptr;
}

// The tables whose captions hold these words.
inline std::vector<PageTable> tables_of(const PageDocument& document, const std::string& words) {
    std::vector<PageTable> found;
    for_each_block(document, [&](const PageBlock& block) {
        const auto* table = std::get_if<PageTable>(&block);
        if (table != nullptr && table->caption.find(words) != std::string::npos)
            found.push_back(*table);
    });
    return found;
}

inline PageTable table_of(const PageDocument& document, const std::string& words) {
    const std::vector<PageTable> found = tables_of(document, words);
    INFO(words);
    REQUIRE(found.size() == 1);
    return found.front();
}

// All text but that of tables and figures, a paragraph or item a line.
inline std::string words_of(const std::vector<PageSection>& sections) {
    std::string words;
    for (const PageSection& section : sections) {
        for (const PageBlock& block : section.blocks) {
            if (const auto* paragraph = std::get_if<PageParagraph>(&block))
                words += paragraph->text + "\n";
            else if (const auto* note = std::get_if<PageNote>(&block))
                words += note->lead + " " + note->text + "\n";
            else if (const auto* list = std::get_if<PageList>(&block))
                for (const std::string& item : list->items)
                    words += item + "\n";
        }
        words += words_of(section.sections);
    }
    return words;
}

inline std::string words_of(const PageDocument& document, const std::string& section) {
    const PageSection* found = section_named(document.sections, section);
    INFO(section);
    REQUIRE(found != nullptr);
    return words_of({*found});
}

inline bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

}  // namespace isoseam::test
