#include "base/quantity.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <charconv>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kDegreesPerRadian = 180.0 / std::numbers::pi;
constexpr const char* kBlanks = " \t\r\n";

struct Unit {
    std::string name;
    double factor;  // to the unit in the dimension's name
};

// The first unit of each is the one that messages offer.
std::vector<Unit> units_of(Dimension dimension) {
    switch (dimension) {
        case Dimension::wavelength_nm:
            return {{"nm", 1.0}};
        case Dimension::angle_deg:
            return {{"deg", 1.0}, {"arcmin", 1.0 / 60.0}};
        case Dimension::length_mm:
            return {{"mm", 1.0}, {"cm", 10.0}, {"m", 1000.0}};
        case Dimension::luminance_cd_m2:
            return {{"cd/m2", 1.0}};
        case Dimension::radiance_w_sr_m2:
            return {{"W/(sr m2)", 1.0}};
        case Dimension::fraction:
            return {{"%", 0.01}};
        case Dimension::duration_s:
            return {{"s", 1.0}, {"ms", 0.001}, {"min", 60.0}, {"h", 3600.0}};
        case Dimension::temperature_k:
            return {{"K", 1.0}};
        case Dimension::age_years:
            return {{"years", 1.0}, {"year", 1.0}};
        case Dimension::frequency_hz:
            return {{"Hz", 1.0}};
    }
    ISOSEAM_CHECK(false, "a dimension without units");
}

std::string joined_units(Dimension dimension) {
    std::vector<std::string> names;
    for (const Unit& unit : units_of(dimension)) {
        names.push_back(unit.name);
    }
    return fmt::format("{}", fmt::join(names, ", "));
}

[[noreturn]] void refuse(std::size_t offset, std::string found, std::string remedy) {
    throw InputError(Fault{"", 0, static_cast<int>(offset) + 1, "", std::move(found), std::move(remedy)});
}

struct Number {
    double value;
    std::size_t begin;  // offsets in the text
    std::size_t end;
};

Number read_number(std::string_view text, const std::string& remedy) {
    const std::size_t begin = text.find_first_not_of(kBlanks);
    if (begin == std::string_view::npos) {
        refuse(0, "no number", remedy);
    }
    const char* const last = text.data() + text.size();
    const char* first = text.data() + begin;
    if (*first == '+' && first + 1 < last && first[1] != '-') {
        ++first;  // from_chars takes no plus sign
    }
    double value = 0.0;
    const auto [end, error] = std::from_chars(first, last, value);
    const std::string_view word = text.substr(begin, text.find_first_of(kBlanks, begin) - begin);
    if (error == std::errc::invalid_argument) {
        refuse(begin, fmt::format("'{}' is not a number", word), remedy);
    }
    if (error != std::errc{} || !std::isfinite(value)) {
        refuse(begin, fmt::format("'{}' is not a finite number", word), remedy);
    }
    return {value, begin, static_cast<std::size_t>(end - text.data())};
}

}  // namespace

Degrees Degrees::from_extent_mm(double extent_mm, double distance_mm) {
    if (!(extent_mm >= 0.0 && std::isfinite(extent_mm) && distance_mm > 0.0 && std::isfinite(distance_mm))) {
        throw InputError(fmt::format("an extent of {} mm at {} mm subtends no angle", extent_mm, distance_mm),
                         "give an extent of 0 mm or more and a distance greater than 0 mm");
    }
    return from_degrees(2.0 * std::atan2(extent_mm / 2.0, distance_mm) * kDegreesPerRadian);
}

double Degrees::extent_mm(double distance_mm) const {
    if (!(value_ >= 0.0 && value_ < 180.0 && distance_mm > 0.0 && std::isfinite(distance_mm))) {
        throw InputError(fmt::format("{} deg at {} mm has no extent on a flat screen", value_, distance_mm),
                         "give an angle from 0 to less than 180 deg and a distance greater than 0 mm");
    }
    return 2.0 * distance_mm * std::tan(value_ / 2.0 / kDegreesPerRadian);
}

double parse_quantity(std::string_view text, Dimension dimension) {
    const std::vector<Unit> units = units_of(dimension);
    const std::string remedy = fmt::format("write a number and a unit ({})", joined_units(dimension));
    const Number number = read_number(text, remedy);
    const std::size_t unit_begin = text.find_first_not_of(kBlanks, number.end);
    if (unit_begin == std::string_view::npos) {
        refuse(number.begin,
               fmt::format("'{}' has no unit", text.substr(number.begin, number.end - number.begin)),
               fmt::format("write one after it: {}", joined_units(dimension)));
    }
    const std::string_view name = text.substr(unit_begin, text.find_last_not_of(kBlanks) + 1 - unit_begin);
    for (const Unit& unit : units) {
        if (name == unit.name) {
            return dimension == Dimension::fraction ? number.value / 100.0 : number.value * unit.factor;
        }
    }
    refuse(unit_begin, fmt::format("unknown unit '{}'", name),
           fmt::format("write {}{}", units.size() > 1 ? "one of: " : "", joined_units(dimension)));
}

std::string quantity_text(double value, Dimension dimension) {
    const double written = dimension == Dimension::fraction ? value * 100.0 : value;
    return fmt::format("{} {}", written, units_of(dimension).front().name);
}

double parse_number(std::string_view text) {
    const Number number = read_number(text, "write a number such as 0.5");
    const std::size_t rest = text.find_first_not_of(kBlanks, number.end);
    if (rest != std::string_view::npos) {
        refuse(rest, fmt::format("'{}' follows the number", text.substr(rest)),
               "write the number alone, without a unit");
    }
    return number.value;
}

}  // namespace isoseam
