#pragma once
// Physical quantities: a type for each of those that are easily mixed up, and the reader of texts such as
// "2 deg", "600 mm", "20 cd/m2" and "5 %", which protocols, lights and the command line share.
//
//     const double share = parse_quantity("5 %", Dimension::fraction);    // 0.05

#include <compare>
#include <string>
#include <string_view>

namespace isoseam {

// A visual angle.
class Degrees {
  public:
    constexpr Degrees() = default;
    static constexpr Degrees from_degrees(double value) { return Degrees(value); }
    static constexpr Degrees from_arcmin(double value) { return Degrees(value / 60.0); }
    // The angle that `extent_mm`, centred on the line of sight, subtends at `distance_mm`: 2 atan(extent / 2
    // distance).
    static Degrees from_extent_mm(double extent_mm, double distance_mm);
    constexpr double degrees() const { return value_; }
    double extent_mm(double distance_mm) const;  // inverse of from_extent_mm
    friend constexpr auto operator<=>(const Degrees&, const Degrees&) = default;

  private:
    explicit constexpr Degrees(double value) : value_(value) {}
    double value_ = 0.0;
};

class Years {
  public:
    constexpr Years() = default;
    static constexpr Years from_years(double value) { return Years(value); }
    constexpr double years() const { return value_; }
    friend constexpr auto operator<=>(const Years&, const Years&) = default;

  private:
    explicit constexpr Years(double value) : value_(value) {}
    double value_ = 0.0;
};

// What a quantity in a text measures. The value that parse_quantity returns is in the unit named here.
enum class Dimension {
    wavelength_nm,     // nm
    angle_deg,         // deg, arcmin
    length_mm,         // mm, cm, m
    luminance_cd_m2,   // cd/m2
    radiance_w_sr_m2,  // W/(sr m2)
    fraction,          // % (5 % is 0.05); a bare number is refused, so that 5 is never taken for 500 %
    duration_s,        // s, ms, min, h
    temperature_k,     // K
    age_years,         // years, year
    frequency_hz,      // Hz
};

// Reads "<number> <unit>"; the blank before the unit may be left out. The number must be finite. An
// InputError names the units that would do; its column is the place in the text, and it names no file and no
// line.
double parse_quantity(std::string_view text, Dimension dimension);

// What parse_quantity() reads back as `value`, in the first unit that it knows: "5 %", "2 deg".
std::string quantity_text(double value, Dimension dimension);

// Reads a finite number that is the whole of `text`. Throws InputError as above.
double parse_number(std::string_view text);

}  // namespace isoseam
