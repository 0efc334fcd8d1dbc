#include "analysis/summaries/unit_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

std::string words_of(const ConditionSummary& row) {
    constexpr const char* kRestOn =
        "Intervals, ellipses and tests of the mean rest on how the means of {0}s differ.{1}";
    if (row.unit == RepetitionUnit::setting)
        return fmt::format(
            "The unit of the mean is the setting. There is one session{}, so intervals, ellipses and tests "
            "of "
            "the mean are of this session only: person and day cannot be told apart.",
            row.participant ? "" : ", of one participant");
    return fmt::format("The unit of the mean is the {} ({} of them). ", to_string(row.unit), row.units) +
           fmt::format(kRestOn, to_string(row.unit),
                       row.person_and_day_are_one
                           ? " Each made one session, so person and day cannot be told apart."
                           : "");
}

}  // namespace

std::string to_string(RepetitionUnit unit) {
    switch (unit) {
        case RepetitionUnit::setting:
            return "setting";
        case RepetitionUnit::session:
            return "session";
        case RepetitionUnit::participant:
            return "participant";
    }
    ISOSEAM_CHECK(false, "unknown unit of repetition");
    return {};
}

std::vector<std::string> unit_words(const std::vector<const ConditionSummary*>& rows) {
    std::vector<std::pair<std::string, std::string>> ways;  // words, names of conditions
    for (const ConditionSummary* row : rows) {
        const std::string words = words_of(*row);
        const auto same =
            std::find_if(ways.begin(), ways.end(), [&](const auto& way) { return way.first == words; });
        if (same == ways.end())
            ways.emplace_back(words, row->condition);
        else
            same->second += ", " + row->condition;
    }
    std::vector<std::string> texts;
    for (const auto& [words, names] : ways)
        texts.push_back(ways.size() > 1 ? names + ": " + words : words);
    return texts;
}

}  // namespace isoseam
