#pragma once
// How the light of one primary follows its drive.

#include <utility>
#include <variant>
#include <vector>

namespace isoseam {

// Strictly increasing map from drive (0..1, fraction of full code) to linear light (0..1, fraction of the
// primary's full light), with its exact inverse: |linear(drive(x)) - x| <= 1e-12. Immutable.
class ToneResponse {
  public:
    // Just under one code of 10 bits. Steeper data than one full rise per code could not be inverted to 1e-12
    // in doubles.
    static constexpr double kLeastDriveStep = 1.0 / 1024.0;

    // linear = drive^exponent, exponent in 0.1 to 10.
    static ToneResponse power(double exponent);
    // Monotone piecewise-cubic Hermite interpolation through measured points (Fritsch & Carlson 1980: no
    // overshoot, so the result is as monotone as the data). At least three points; first drive 0 with linear
    // 0, last drive 1 with linear 1; both strictly increasing, drives by at least kLeastDriveStep. InputError
    // naming every point that is not (column = index of the point, from 1; key = "drive" or "light").
    static ToneResponse points(std::vector<double> drive, std::vector<double> linear);

    double linear_from_drive(double drive) const;   // argument in [0, 1], checked
    double drive_from_linear(double linear) const;  // argument in [0, 1], checked

    bool is_power() const { return std::holds_alternative<Power>(form_); }
    double exponent() const { return std::get<Power>(form_).exponent; }
    const std::vector<double>& drives() const { return std::get<Points>(form_).drive; }
    const std::vector<double>& linears() const { return std::get<Points>(form_).linear; }

  private:
    struct Power {
        double exponent;
    };
    struct Points {
        std::vector<double> drive, linear, slope;
    };
    explicit ToneResponse(Power form) : form_(form) {}
    explicit ToneResponse(Points form) : form_(std::move(form)) {}
    std::variant<Power, Points> form_;
};

}  // namespace isoseam
