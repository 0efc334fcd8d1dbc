#include "colorimetry/exponential.h"

#include <bit>
#include <cstdint>
#include <numbers>

#include "base/errors.h"

// Two versions are compiled where that helps: one for wider vectors, and one for any processor. Which one
// runs is found out at the start. Both give the same bits, because the whole program is compiled with
// -ffp-contract=off.
#if defined(__x86_64__) && defined(ISOSEAM_WIDE_VERSIONS)
#define ISOSEAM_WIDE_VECTORS __attribute__((target_clones("arch=x86-64-v3", "default")))
#else
#define ISOSEAM_WIDE_VECTORS
#endif

namespace isoseam {
namespace {

// Adding it rounds a number below 2^51 to whole, and leaves that whole number in the low bits.
constexpr double kRounder = 0x1.8p52;
// ln 2 in two parts: whole multiples of the first are exact.
constexpr double kLn2High = 0x1.62e42fefa38p-1;
constexpr double kLn2Low = 0x1.ef35793c7673p-45;
constexpr int kExponentBits = 52;
constexpr double kLargestArgument = 700.0;

// x = k ln 2 + r with |r| <= ln 2 / 2: e^x is 2^k times the series of e^r, whose term 13 is below 2e-16. Its
// even and odd terms are summed apart, so that neither waits for the other.
inline double exponential(double x) {
    const double rounded = x * std::numbers::log2e + kRounder;
    const double k = rounded - kRounder;
    const double r = (x - k * kLn2High) - k * kLn2Low;
    const double square = r * r;
    double even = 1.0 / 479001600.0;
    even = even * square + 1.0 / 3628800.0;
    even = even * square + 1.0 / 40320.0;
    even = even * square + 1.0 / 720.0;
    even = even * square + 1.0 / 24.0;
    even = even * square + 1.0 / 2.0;
    double odd = 1.0 / 6227020800.0;
    odd = odd * square + 1.0 / 39916800.0;
    odd = odd * square + 1.0 / 362880.0;
    odd = odd * square + 1.0 / 5040.0;
    odd = odd * square + 1.0 / 120.0;
    odd = odd * square + 1.0 / 6.0;
    const double series = 1.0 + (r + square * (even + r * odd));
    const std::uint64_t power = std::bit_cast<std::uint64_t>(rounded) << kExponentBits;
    return std::bit_cast<double>(std::bit_cast<std::uint64_t>(series) + power);
}

ISOSEAM_WIDE_VECTORS void exponentials(double* values, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
        values[i] = exponential(values[i]);
    }
}

}  // namespace

void exponentials(Eigen::Ref<Eigen::ArrayXd> x) {
    ISOSEAM_CHECK(x.size() == 0 || x.abs().maxCoeff() <= kLargestArgument);
    exponentials(x.data(), static_cast<std::size_t>(x.size()));
}

}  // namespace isoseam
