// Writes a setting as text: what to_json(setting).dump() writes, an order of magnitude sooner, since no tree
// is built. Rehearsals write hundreds of thousands of settings.
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <concepts>
#include <nlohmann/json.hpp>

#include "base/errors.h"
#include "results_schema/setting_record.h"

namespace isoseam {
namespace {

constexpr std::size_t kLongestNumber = 32;

void add(std::string& text, double number) {
    ISOSEAM_CHECK(std::isfinite(number), "a setting holds a number that is not finite");
    std::array<char, kLongestNumber> digits{};
    const auto written = std::to_chars(digits.data(), digits.data() + digits.size(), number);
    const std::string_view shortest(digits.data(), static_cast<std::size_t>(written.ptr - digits.data()));
    text += shortest;
    // So that it reads back as a number with a fraction.
    if (shortest.find_first_of(".e") == std::string_view::npos)
        text += ".0";
}

template <std::integral Whole>
void add(std::string& text, Whole number) {
    std::array<char, kLongestNumber> digits{};
    const auto written = std::to_chars(digits.data(), digits.data() + digits.size(), number);
    text.append(digits.data(), written.ptr);
}

void add(std::string& text, const std::string& words) {
    const auto is_plain = [](char c) { return c >= ' ' && c <= '~' && c != '"' && c != '\\'; };
    if (std::all_of(words.begin(), words.end(), is_plain))
        text.append("\"").append(words).append("\"");
    else
        text += nlohmann::json(words).dump();
}

template <ListOfItems List>
void add(std::string& text, const List& list) {
    text += '[';
    for (std::size_t i = 0; i < list.size(); ++i) {
        text += i == 0 ? "" : ",";
        add(text, list[i]);
    }
    text += ']';
}

template <Fielded Record>
void add(std::string& text, const Record& record) {
    all_in_text_order<Record>([&](auto field) {
        const auto& value = field.of(record);
        if constexpr (!field.kOptional) {
            add(text.append(field.kKey), value);
        } else if (value) {
            add(text.append(field.kKey), *value);
        }
        return true;
    });
    text += '}';
}

}  // namespace

std::string json_text(const SettingRecord& setting) {
    constexpr std::size_t kUsualLength = 2000;
    std::string text;
    text.reserve(kUsualLength);
    add(text, setting);
    return text;
}

}  // namespace isoseam
