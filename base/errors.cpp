#include "base/errors.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <utility>

namespace isoseam {
namespace {

std::string place_of(const Fault& fault) {
    if (!fault.file.empty()) {
        std::string place = fault.file;
        if (fault.line > 0) {
            place += fmt::format(":{}", fault.line);
            if (fault.column > 0) {
                place += fmt::format(":{}", fault.column);
            }
        }
        return place;
    }
    if (fault.line > 0 && fault.column > 0) {
        return fmt::format("line {}, column {}", fault.line, fault.column);
    }
    if (fault.line > 0) {
        return fmt::format("line {}", fault.line);
    }
    return fault.column > 0 ? fmt::format("column {}", fault.column) : std::string{};
}

std::string text_of(const std::vector<Fault>& faults) {
    ISOSEAM_CHECK(!faults.empty(), "an InputError needs at least one fault");
    std::string text;
    for (const Fault& fault : faults) {
        text += (text.empty() ? "" : "\n") + to_string(fault);
    }
    return text;
}

std::string lower(const std::string& word) {
    std::string result = word;
    std::transform(result.begin(), result.end(), result.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return result;
}

// Insertions, deletions, replacements and swaps of neighbours, one each (optimal string alignment).
std::size_t edit_distance(const std::string& a, const std::string& b) {
    std::vector<std::vector<std::size_t>> cost(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) {
        for (std::size_t j = 0; j <= b.size(); ++j) {
            if (i == 0 || j == 0) {
                cost[i][j] = i + j;
                continue;
            }
            const std::size_t replaced = cost[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1, replaced});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
            }
        }
    }
    return cost[a.size()][b.size()];
}

}  // namespace

std::string to_string(const Fault& fault) {
    std::string text;
    for (const std::string& head : {place_of(fault), fault.key}) {
        if (!head.empty()) {
            text += head + ": ";
        }
    }
    text += fault.found;
    if (!fault.remedy.empty()) {
        text += "; " + fault.remedy;
    }
    return text;
}

InputError::InputError(Fault fault) : InputError(std::vector<Fault>{std::move(fault)}) {}

InputError::InputError(std::vector<Fault> faults)
    : std::runtime_error(text_of(faults)), faults_(std::move(faults)) {}

InputError::InputError(std::string found, std::string remedy)
    : InputError("", std::move(found), std::move(remedy)) {}

InputError::InputError(std::string key, std::string found, std::string remedy)
    : InputError(Fault{"", 0, 0, std::move(key), std::move(found), std::move(remedy)}) {}

void throw_if_any(std::vector<Fault> faults) {
    if (!faults.empty())
        throw InputError(std::move(faults));
}

MachineError::MachineError(const std::string& found, const std::string& remedy)
    : std::runtime_error(found + "; " + remedy) {}

std::string nearest_word(const std::string& word, const std::vector<std::string>& candidates) {
    std::string nearest;
    std::size_t least = 0;
    for (const std::string& candidate : candidates) {
        const std::size_t distance = edit_distance(lower(word), lower(candidate));
        // A third of the letters may be wrong, at least one; but not all of them.
        const std::size_t allowed = std::max<std::size_t>(1, std::max(word.size(), candidate.size()) / 3);
        const bool meant = distance <= allowed && distance < std::min(word.size(), candidate.size());
        if (meant && (nearest.empty() || distance < least)) {
            nearest = candidate;
            least = distance;
        }
    }
    return nearest;
}

std::string did_you_mean(const std::string& word, const std::vector<std::string>& candidates) {
    const std::string nearest = nearest_word(word, candidates);
    return nearest.empty() ? "" : fmt::format("did you mean '{}'? ", nearest);
}

namespace detail {

void invariant_broken(const char* expression, const char* file, int line, const std::string& values) {
    throw std::logic_error(fmt::format("{}:{}: broken invariant: {}{}", file, line, expression,
                                       values.empty() ? "" : ": " + values));
}

std::string value_text(bool value) {
    return fmt::format("{}", value);
}
std::string value_text(long long value) {
    return fmt::format("{}", value);
}
std::string value_text(unsigned long long value) {
    return fmt::format("{}", value);
}
std::string value_text(double value) {
    return fmt::format("{}", value);
}
std::string value_text(std::string_view value) {
    return fmt::format("\"{}\"", value);
}

std::string named_value(const char* expression, const std::string& value) {
    return expression == value ? value : fmt::format("{} = {}", expression, value);
}

}  // namespace detail
}  // namespace isoseam
