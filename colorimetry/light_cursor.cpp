#include "colorimetry/light_cursor.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <utility>
#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr std::string_view kBlanks = " \t\r\n";
constexpr std::string_view kBlanksAndBrackets = " \t\r\n()";
constexpr std::string_view kRadianceUnit = "W/(sr m2)";  // the one unit with a blank and brackets in it

bool is_digit(char c) {
    return std::isdigit(static_cast<unsigned char>(c)) != 0;
}

// Runs a reader of a part of the text, and moves the columns of its faults to where the part stands.
double with_columns_from(std::size_t begin, const auto& read) {
    try {
        return read();
    } catch (const InputError& error) {
        std::vector<Fault> faults = error.faults();
        for (Fault& fault : faults) {
            fault.column += static_cast<int>(begin);
        }
        throw InputError(faults);
    }
}

}  // namespace

bool is_light_letter(char c) {
    return std::isalpha(static_cast<unsigned char>(c)) != 0;
}
bool is_light_name_character(char c) {
    return is_light_letter(c) || is_digit(c) || c == '_' || c == '-';
}

std::size_t LightCursor::begin_of_next() const {
    return std::min(text_.find_first_not_of(kBlanks, position_), text_.size());
}

char LightCursor::peek() const {
    return at_end() ? '\0' : text_[begin_of_next()];
}

void LightCursor::skip_character() {
    position_ = std::min(begin_of_next() + 1, text_.size());
}

bool LightCursor::next_is_number() const {
    return end_of_number() > begin_of_next();
}

std::string LightCursor::next_chunk() const {
    const std::size_t begin = begin_of_next();
    const std::size_t end = std::min(text_.find_first_of(kBlanksAndBrackets, begin), text_.size());
    return std::string(text_.substr(begin, std::max<std::size_t>(1, end - begin)));
}

std::string LightCursor::unit_after_number() const {
    const std::size_t unit = std::min(text_.find_first_not_of(kBlanks, end_of_number()), text_.size());
    return std::string(text_.substr(unit, std::max(end_of_quantity(), unit) - unit));
}

std::string_view LightCursor::word_ahead() const {
    const std::size_t begin = begin_of_next();
    std::size_t end = begin;
    while (end < text_.size() &&
           (end == begin ? is_light_letter(text_[end]) : is_light_name_character(text_[end]))) {
        ++end;
    }
    return text_.substr(begin, end - begin);
}

std::string LightCursor::word(const std::string& remedy) {
    const std::string_view found = word_ahead();
    if (found.empty()) {
        refuse(at_end() ? "the text ends where a word is missing" : fmt::format("found '{}'", next_chunk()),
               remedy);
    }
    position_ = begin_of_next() + found.size();
    return std::string(found);
}

std::size_t LightCursor::end_of_number() const {
    const std::size_t begin = begin_of_next();
    const auto at = [this](std::size_t i) { return i < text_.size() ? text_[i] : '\0'; };
    const auto is_sign = [](char c) { return c == '-' || c == '+'; };
    std::size_t end = begin + (is_sign(at(begin)) ? 1 : 0);
    const std::size_t digits = end;
    while (is_digit(at(end)) || at(end) == '.') {
        ++end;
    }
    if (end == digits) {
        return begin;
    }
    const std::size_t exponent = end + 1 + (is_sign(at(end + 1)) ? 1 : 0);
    if ((at(end) == 'e' || at(end) == 'E') && is_digit(at(exponent))) {
        end = exponent;
        while (is_digit(at(end))) {
            ++end;
        }
    }
    return end;
}

std::size_t LightCursor::end_of_quantity() const {
    const std::size_t number_end = end_of_number();
    const std::size_t unit = text_.find_first_not_of(kBlanks, number_end);
    if (number_end == begin_of_next() || unit == std::string_view::npos) {
        return std::min(text_.find_first_of(kBlanksAndBrackets, begin_of_next()), text_.size());
    }
    if (text_.substr(unit).starts_with(kRadianceUnit)) {
        return unit + kRadianceUnit.size();
    }
    const std::size_t end = std::min(text_.find_first_of(kBlanksAndBrackets, unit), text_.size());
    const std::string_view name = text_.substr(unit, end - unit);
    return name == "at" || name == "from" ? number_end : end;  // the unit was left out
}

double LightCursor::number(const std::string& what) {
    const std::size_t begin = begin_of_next();
    if (!next_is_number()) {
        refuse(at_end() ? fmt::format("the text ends before {}", what)
                        : fmt::format("found '{}' in place of {}", next_chunk(), what),
               "write a number");
    }
    position_ = end_of_number();
    return with_columns_from(begin, [&] { return parse_number(text_.substr(begin, position_ - begin)); });
}

double LightCursor::quantity(Dimension dimension) {
    const std::size_t begin = begin_of_next();
    position_ = end_of_quantity();
    return with_columns_from(
        begin, [&] { return parse_quantity(text_.substr(begin, position_ - begin), dimension); });
}

double LightCursor::percent() {
    const std::size_t begin = begin_of_next();
    const std::size_t number_end = end_of_number();
    quantity(Dimension::fraction);
    return parse_number(text_.substr(begin, number_end - begin));
}

std::string LightCursor::path() {
    const std::size_t begin = begin_of_next();
    if (peek() == '"') {
        const std::size_t end = text_.find('"', begin + 1);
        if (end == std::string_view::npos || end == begin + 1) {
            refuse("a quoted file name that does not end or is empty", "write: spectrum \"my lamp.csv\"");
        }
        position_ = end + 1;
        return std::string(text_.substr(begin + 1, end - begin - 1));
    }
    const std::size_t end = std::min(text_.find_first_of(" \t\r\n()\"", begin), text_.size());
    if (end == begin) {
        refuse("no file name after 'spectrum'", "write: spectrum lamp.csv");
    }
    position_ = end;
    return std::string(text_.substr(begin, end - begin));
}

void LightCursor::refuse(std::string found, std::string remedy) const {
    refuse_at(begin_of_next(), std::move(found), std::move(remedy));
}

void LightCursor::refuse_at(std::size_t offset, std::string found, std::string remedy) {
    throw InputError(Fault{"", 0, static_cast<int>(offset) + 1, "", std::move(found), std::move(remedy)});
}

}  // namespace isoseam
