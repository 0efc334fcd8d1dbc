#pragma once
// A number with its first and second derivatives by two variables, for functions whose derivatives would be
// long to write down (forward automatic differentiation, common practice). It is used inside this room only.
//
//     const SecondOrder x = SecondOrder::variable(3.0, 0);
//     log(x * x).slope[0];    // 2 / 3

#include <array>
#include <cmath>

namespace isoseam {

struct SecondOrder {
    double value = 0.0;
    std::array<double, 2> slope{};
    std::array<double, 3> curve{};  // by 0 and 0, by 0 and 1, by 1 and 1

    SecondOrder() = default;
    SecondOrder(double constant) : value(constant) {}  // NOLINT: constants mix with variables
    static SecondOrder variable(double value, std::size_t index) {
        SecondOrder result(value);
        result.slope.at(index) = 1.0;
        return result;
    }

    SecondOrder& operator+=(const SecondOrder& b) {
        value += b.value;
        for (std::size_t i = 0; i < slope.size(); ++i)
            slope[i] += b.slope[i];
        for (std::size_t i = 0; i < curve.size(); ++i)
            curve[i] += b.curve[i];
        return *this;
    }
    SecondOrder& operator-=(const SecondOrder& b) { return *this += b.through(-b.value, -1.0, 0.0); }

    // Gives f of this number, where f and its two derivatives have these values here.
    SecondOrder through(double f, double first, double second) const {
        SecondOrder result(f);
        for (std::size_t i = 0; i < slope.size(); ++i)
            result.slope[i] = first * slope[i];
        const auto both = [&](std::size_t at, std::size_t i, std::size_t j) {
            result.curve[at] = first * curve[at] + second * slope[i] * slope[j];
        };
        both(0, 0, 0);
        both(1, 0, 1);
        both(2, 1, 1);
        return result;
    }
};

inline SecondOrder operator+(SecondOrder a, const SecondOrder& b) {
    return a += b;
}
inline SecondOrder operator-(SecondOrder a, const SecondOrder& b) {
    return a -= b;
}
inline SecondOrder operator*(const SecondOrder& a, const SecondOrder& b) {
    SecondOrder result(a.value * b.value);
    for (std::size_t i = 0; i < a.slope.size(); ++i)
        result.slope[i] = a.slope[i] * b.value + a.value * b.slope[i];
    const auto both = [&](std::size_t at, std::size_t i, std::size_t j) {
        result.curve[at] =
            a.curve[at] * b.value + a.slope[i] * b.slope[j] + a.slope[j] * b.slope[i] + a.value * b.curve[at];
    };
    both(0, 0, 0);
    both(1, 0, 1);
    both(2, 1, 1);
    return result;
}
inline SecondOrder operator/(const SecondOrder& a, const SecondOrder& b) {
    const double inverse = 1.0 / b.value;
    return a * b.through(inverse, -inverse * inverse, 2.0 * inverse * inverse * inverse);
}
inline SecondOrder log(const SecondOrder& a) {
    const double inverse = 1.0 / a.value;
    return a.through(std::log(a.value), inverse, -inverse * inverse);
}

}  // namespace isoseam
