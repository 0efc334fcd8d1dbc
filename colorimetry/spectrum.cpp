#include "colorimetry/spectrum.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kShortestNm = 100.0;
constexpr double kLongestNm = 5000.0;
constexpr int kFirstRelativeNm = 300;
constexpr int kLastRelativeNm = 900;
constexpr double kReferenceNm = 560.0;
constexpr double kSecondRadiationConstantNmK = 1.4388e7;  // c2 = 1.4388e-2 m K, CIE 015:2018

// Where a sum leaves the range of one of its parts, that part falls to 0 within this step.
constexpr double kEdgeNm = 1e-6;

[[noreturn]] void refuse(std::string found, std::string remedy) {
    throw InputError("spectrum", std::move(found), std::move(remedy));
}

void check_grid(std::span<const double> grid_nm) {
    if (grid_nm.size() < 2) {
        refuse(fmt::format("{} wavelengths", grid_nm.size()), "give at least two");
    }
    for (std::size_t i = 0; i < grid_nm.size(); ++i) {
        if (!(grid_nm[i] >= kShortestNm && grid_nm[i] <= kLongestNm)) {
            refuse(fmt::format("wavelength {} nm (sample {})", grid_nm[i], i + 1),
                   fmt::format("give wavelengths from {} to {} nm", kShortestNm, kLongestNm));
        }
        if (i > 0 && !(grid_nm[i] > grid_nm[i - 1])) {
            refuse(fmt::format("{} nm follows {} nm (sample {})", grid_nm[i], grid_nm[i - 1], i + 1),
                   "sort the wavelengths, each only once");
        }
    }
}

std::vector<double> relative_grid_nm() {
    std::vector<double> grid_nm;
    for (int nm = kFirstRelativeNm; nm <= kLastRelativeNm; ++nm) {
        grid_nm.push_back(nm);
    }
    return grid_nm;
}

double trapezoid(double left_nm, double left, double right_nm, double right) {
    return (right_nm - left_nm) * (left + right) / 2.0;
}

// The integral of the continuous part over what of [from_nm, to_nm] lies inside its range.
double integral_between(const Spectrum& spectrum, double from_nm, double to_nm) {
    const std::vector<double>& grid_nm = spectrum.wavelengths_nm();
    const double first_nm = std::max(from_nm, spectrum.first_nm());
    const double last_nm = std::min(to_nm, spectrum.last_nm());
    if (!(last_nm > first_nm)) {
        return 0.0;
    }
    double sum = 0.0;
    double left_nm = first_nm;
    for (auto node = std::upper_bound(grid_nm.begin(), grid_nm.end(), first_nm); left_nm < last_nm; ++node) {
        const double right_nm = node == grid_nm.end() ? last_nm : std::min(*node, last_nm);
        sum += trapezoid(left_nm, spectrum.at_nm(left_nm), right_nm, spectrum.at_nm(right_nm));
        left_nm = right_nm;
        if (node == grid_nm.end()) {
            break;
        }
    }
    return sum;
}

double value_or_zero(const Spectrum& spectrum, double nm) {
    const bool known =
        spectrum.has_continuous_part() && nm >= spectrum.first_nm() && nm <= spectrum.last_nm();
    return known ? spectrum.at_nm(nm) : 0.0;
}

// The nodes that a sum needs because of `part`: its own, and one just outside each end where it does not end
// in 0.
void add_nodes(std::vector<double>& nodes_nm, const Spectrum& part) {
    if (!part.has_continuous_part()) {
        return;
    }
    nodes_nm.insert(nodes_nm.end(), part.wavelengths_nm().begin(), part.wavelengths_nm().end());
    if (part.values().front() != 0.0) {
        nodes_nm.push_back(part.first_nm() - kEdgeNm);
    }
    if (part.values().back() != 0.0) {
        nodes_nm.push_back(part.last_nm() + kEdgeNm);
    }
}

}  // namespace

Spectrum Spectrum::from_radiance_w_sr_m2_nm(std::vector<double> wavelengths_nm, std::vector<double> values) {
    Spectrum spectrum = from_signed_w_sr_m2_nm(std::move(wavelengths_nm), std::move(values));
    for (std::size_t i = 0; i < spectrum.values_.size(); ++i) {
        if (!(spectrum.values_[i] >= 0.0)) {
            refuse(fmt::format("negative radiance {} at {} nm (sample {})", spectrum.values_[i],
                               spectrum.wavelengths_nm_[i], i + 1),
                   "a light has 0 or more at each wavelength");
        }
    }
    return spectrum;
}

Spectrum Spectrum::from_signed_w_sr_m2_nm(std::vector<double> wavelengths_nm, std::vector<double> values) {
    if (wavelengths_nm.size() != values.size()) {
        refuse(fmt::format("{} wavelengths and {} values", wavelengths_nm.size(), values.size()),
               "give one value for each wavelength");
    }
    check_grid(wavelengths_nm);
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (!std::isfinite(values[i])) {
            refuse(fmt::format("value {} at {} nm (sample {})", values[i], wavelengths_nm[i], i + 1),
                   "give finite numbers");
        }
    }
    Spectrum spectrum;
    spectrum.wavelengths_nm_ = std::move(wavelengths_nm);
    spectrum.values_ = std::move(values);
    spectrum.fill_per_nm();
    return spectrum;
}

Spectrum Spectrum::from_line(double nm, double radiance_w_sr_m2) {
    if (!(nm >= kShortestNm && nm <= kLongestNm)) {
        refuse(fmt::format("a line at {} nm", nm),
               fmt::format("give a wavelength from {} to {} nm", kShortestNm, kLongestNm));
    }
    if (!(radiance_w_sr_m2 >= 0.0 && std::isfinite(radiance_w_sr_m2))) {
        refuse(fmt::format("a line of {} W/(sr m2)", radiance_w_sr_m2),
               "give a finite radiance of 0 or more");
    }
    Spectrum spectrum;
    spectrum.lines_.push_back({nm, radiance_w_sr_m2});
    return spectrum;
}

Spectrum Spectrum::blackbody(double temperature_k) {
    if (!(temperature_k > 0.0 && std::isfinite(temperature_k))) {
        refuse(fmt::format("a blackbody of {} K", temperature_k), "give a temperature greater than 0 K");
    }
    std::vector<double> grid_nm = relative_grid_nm();
    std::vector<double> values;
    const double reference = kSecondRadiationConstantNmK / (kReferenceNm * temperature_k);
    for (const double nm : grid_nm) {
        const double exponent = kSecondRadiationConstantNmK / (nm * temperature_k);
        // Planck's law with exp(exponent) taken out of numerator and denominator, since it overflows when
        // cold.
        values.push_back(std::pow(kReferenceNm / nm, 5.0) * std::exp(reference - exponent) *
                         std::expm1(-reference) / std::expm1(-exponent));
    }
    if (!std::all_of(values.begin(), values.end(), [](double value) { return std::isfinite(value); })) {
        refuse(fmt::format("a blackbody of {} K has no light between {} and {} nm", temperature_k,
                           kFirstRelativeNm, kLastRelativeNm),
               "give a temperature of 100 K or more");
    }
    return from_radiance_w_sr_m2_nm(std::move(grid_nm), std::move(values));
}

Spectrum Spectrum::equal_energy() {
    std::vector<double> grid_nm = relative_grid_nm();
    std::vector<double> values(grid_nm.size(), 1.0);
    return from_radiance_w_sr_m2_nm(std::move(grid_nm), std::move(values));
}

void Spectrum::fill_per_nm() {
    const auto is_whole = [](double nm) { return nm == std::floor(nm); };
    if (wavelengths_nm_.empty() || !std::all_of(wavelengths_nm_.begin(), wavelengths_nm_.end(), is_whole)) {
        return;
    }
    if (last_nm() - first_nm() + 1.0 == static_cast<double>(values_.size())) {
        steps_of_1_nm_ = true;
        return;
    }
    for (double nm = first_nm(); nm <= last_nm(); nm += 1.0) {
        per_nm_.push_back(at_nm(nm));
    }
}

double Spectrum::first_nm() const {
    ISOSEAM_CHECK(has_continuous_part());
    return wavelengths_nm_.front();
}

double Spectrum::last_nm() const {
    ISOSEAM_CHECK(has_continuous_part());
    return wavelengths_nm_.back();
}

double Spectrum::at_nm(double nm) const {
    ISOSEAM_CHECK_BETWEEN(nm, first_nm(), last_nm());
    const auto after = std::upper_bound(wavelengths_nm_.begin(), wavelengths_nm_.end(), nm);
    if (after == wavelengths_nm_.end()) {
        return values_.back();
    }
    const auto right = static_cast<std::size_t>(after - wavelengths_nm_.begin());
    const double share =
        (nm - wavelengths_nm_[right - 1]) / (wavelengths_nm_[right] - wavelengths_nm_[right - 1]);
    return std::lerp(values_[right - 1], values_[right], share);
}

double Spectrum::integral_w_sr_m2() const {
    double sum = 0.0;
    for (std::size_t i = 1; i < values_.size(); ++i) {
        sum += trapezoid(wavelengths_nm_[i - 1], values_[i - 1], wavelengths_nm_[i], values_[i]);
    }
    for (const Line& line : lines_) {
        sum += line.radiance_w_sr_m2;
    }
    return sum;
}

Spectrum Spectrum::sampled_on(std::span<const double> grid_nm) const {
    check_grid(grid_nm);
    if (!(has_continuous_part() && grid_nm.front() >= first_nm() && grid_nm.back() <= last_nm())) {
        refuse(fmt::format("samples wanted from {} to {} nm, but the spectrum is known {}", grid_nm.front(),
                           grid_nm.back(),
                           has_continuous_part() ? fmt::format("from {} to {} nm", first_nm(), last_nm())
                                                 : std::string("in lines only")),
               "ask for wavelengths inside its range");
    }
    std::vector<double> sampled;
    sampled.reserve(grid_nm.size());
    for (const double nm : grid_nm) {
        sampled.push_back(at_nm(nm));
    }
    Spectrum result = from_signed_w_sr_m2_nm({grid_nm.begin(), grid_nm.end()}, std::move(sampled));
    result.lines_ = lines_;
    return result;
}

Spectrum Spectrum::binned_on(std::span<const double> grid_nm) const {
    check_grid(grid_nm);
    const std::size_t count = grid_nm.size();
    std::vector<double> means;
    means.reserve(count);
    for (std::size_t i = 0; i < count; ++i) {
        const bool is_last = i + 1 == count;
        const double from_nm = i == 0 ? grid_nm[0] : std::midpoint(grid_nm[i - 1], grid_nm[i]);
        const double to_nm = is_last ? grid_nm[i] : std::midpoint(grid_nm[i], grid_nm[i + 1]);
        double radiance_w_sr_m2 = has_continuous_part() ? integral_between(*this, from_nm, to_nm) : 0.0;
        for (const Line& line : lines_) {
            if (line.nm >= from_nm && (line.nm < to_nm || (is_last && line.nm == to_nm))) {
                radiance_w_sr_m2 += line.radiance_w_sr_m2;
            }
        }
        means.push_back(radiance_w_sr_m2 / (to_nm - from_nm));
    }
    return from_signed_w_sr_m2_nm({grid_nm.begin(), grid_nm.end()}, std::move(means));
}

Spectrum Spectrum::scaled(double factor) const {
    ISOSEAM_CHECK(std::isfinite(factor), fmt::format("factor = {}", factor));
    Spectrum result = *this;
    for (double& value : result.values_) {
        value *= factor;
    }
    for (double& value : result.per_nm_) {
        value *= factor;
    }
    for (Line& line : result.lines_) {
        line.radiance_w_sr_m2 *= factor;
    }
    return result;
}

Spectrum operator+(const Spectrum& a, const Spectrum& b) {
    Spectrum sum;
    add_nodes(sum.wavelengths_nm_, a);
    add_nodes(sum.wavelengths_nm_, b);
    if (!sum.wavelengths_nm_.empty()) {
        const double first_nm = std::min(a.has_continuous_part() ? a.first_nm() : kLongestNm,
                                         b.has_continuous_part() ? b.first_nm() : kLongestNm);
        const double last_nm = std::max(a.has_continuous_part() ? a.last_nm() : kShortestNm,
                                        b.has_continuous_part() ? b.last_nm() : kShortestNm);
        std::sort(sum.wavelengths_nm_.begin(), sum.wavelengths_nm_.end());
        std::erase_if(sum.wavelengths_nm_, [&](double nm) { return nm < first_nm || nm > last_nm; });
        sum.wavelengths_nm_.erase(std::unique(sum.wavelengths_nm_.begin(), sum.wavelengths_nm_.end()),
                                  sum.wavelengths_nm_.end());
    }
    for (const double nm : sum.wavelengths_nm_) {
        sum.values_.push_back(value_or_zero(a, nm) + value_or_zero(b, nm));
    }
    sum.fill_per_nm();
    sum.lines_ = a.lines_;
    sum.lines_.insert(sum.lines_.end(), b.lines_.begin(), b.lines_.end());
    return sum;
}

}  // namespace isoseam
