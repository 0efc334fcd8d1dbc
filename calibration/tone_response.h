#pragma once
// A tone response says how the light of one primary follows its drive.
//
//     const double drive = ToneResponse::power(2.2).drive_from_linear(0.5);    // 0.73

#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace isoseam {

// This says how the curve is written down. d is the drive, x the linear light; every form runs from (0, 0) to
// (1, 1).
enum class ToneForm {
    power,  // x = d^exponent
    // x = (((1 - o) d + o)^exponent - o^exponent) / (1 - o^exponent), where o is the offset: the
    // gain-offset-gamma form of the trade with its black subtracted.
    gain_offset_gamma,
    // x = ((d + o) / (1 + o))^exponent, and below d = o / (exponent - 1) the straight line from black that
    // meets it with the same slope: the shape of IEC 61966-2-1.
    offset_power,
    s_shaped,  // x = (1 + c) d^a / (d^b + c): steep in the middle, as bare liquid-crystal cells are
    points,    // monotone cubic through measured points
};

// The parameters of a form in the order in which they are passed: exponent | offset, exponent | offset,
// exponent | rise (a), bend (b), knee (c) | none for points.
const std::vector<std::string>& tone_parameter_names(ToneForm form);
std::string to_string(ToneForm form);  // "gain-offset-gamma", as in calibration files

// A tone response is a strictly increasing map from drive (0..1, fraction of full code) to linear light
// (0..1, fraction of the primary's full light), with its exact inverse: |linear(drive(x)) - x| <= 1e-12. It
// is immutable.
class ToneResponse {
  public:
    // This is just under one code of 10 bits. Steeper data than one full rise per code could not be inverted
    // to 1e-12 in doubles.
    static constexpr double kLeastDriveStep = 1.0 / 1024.0;

    // linear = drive^exponent, exponent in 0.1 to 10.
    static ToneResponse power(double exponent);
    // The curve is a monotone piecewise-cubic Hermite interpolation through measured points (Fritsch &
    // Carlson 1980: it does not overshoot, so the result is as monotone as the data). There are at least
    // three points. The first drive is 0 with linear 0, and the last drive is 1 with linear 1. Both rise
    // strictly, drives by at least kLeastDriveStep. Throws an InputError that names every point for which
    // this does not hold (column = index of the point, from 1; key = "drive" or "light").
    static ToneResponse points(std::vector<double> drive, std::vector<double> linear);

    // Makes any form but `points`. Throws an InputError (key = the parameter's name) outside these ranges:
    // exponent 0.1 to 10; offset 0 to 0.9 for gain_offset_gamma; exponent above 1 and offset from 0 to below
    // exponent - 1, at most 1, for offset_power; rise 0.1 to 10, bend 0 to 20 and knee 0.001 to 1000 for
    // s_shaped, which must still rise at full drive by at least kLeastEndSlope. A gain-offset-gamma with a
    // negative offset has a range of drives without light, which could not be inverted.
    static ToneResponse of_form(ToneForm form, const std::vector<double>& parameters);
    // This is the least logarithmic slope (dx/x over dd/d) of an s_shaped curve at full drive.
    static constexpr double kLeastEndSlope = 0.05;

    double linear_from_drive(double drive) const;   // argument in [0, 1], checked
    double drive_from_linear(double linear) const;  // argument in [0, 1], checked

    ToneForm form() const { return static_cast<ToneForm>(form_.index()); }
    std::vector<double> parameters() const;
    bool is_power() const { return std::holds_alternative<Power>(form_); }
    double exponent() const { return std::get<Power>(form_).exponent; }
    const std::vector<double>& drives() const { return std::get<Points>(form_).drive; }
    const std::vector<double>& linears() const { return std::get<Points>(form_).linear; }

  private:
    struct Power {
        double exponent;
    };
    struct GainOffsetGamma {
        double offset, exponent;
    };
    struct OffsetPower {
        double offset, exponent;
    };
    struct SShaped {
        double rise, bend, knee;
    };
    struct Points {
        std::vector<double> drive, linear, slope;
    };
    using Form = std::variant<Power, GainOffsetGamma, OffsetPower, SShaped, Points>;  // in ToneForm's order
    explicit ToneResponse(Form form) : form_(std::move(form)) {}

    // The curve of one form and its inverse; arguments in [0, 1].
    static double light(const Power& form, double drive);
    static double light(const GainOffsetGamma& form, double drive);
    static double light(const OffsetPower& form, double drive);
    static double light(const SShaped& form, double drive);
    static double light(const Points& form, double drive);
    static double drive(const Power& form, double linear);
    static double drive(const GainOffsetGamma& form, double linear);
    static double drive(const OffsetPower& form, double linear);
    static double drive(const SShaped& form, double linear);
    static double drive(const Points& form, double linear);

    Form form_;
};

}  // namespace isoseam
