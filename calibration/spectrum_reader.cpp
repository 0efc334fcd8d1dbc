#include "calibration/spectrum_reader.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr size_t kMostSamples = 10000;

std::optional<Grid> regular_grid(const YamlNode& node) {
    node.only_keys({"from", "to", "step"});
    const auto part = [&](const char* key, const char* what) {
        return node.at(key, what).quantity(Dimension::wavelength_nm);
    };
    const std::optional<double> from = part("from", "the first wavelength, as in 380 nm");
    const std::optional<double> to = part("to", "the last wavelength, as in 780 nm");
    const std::optional<double> step = part("step", "from sample to sample, as in 5 nm");
    if (!from || !to || !step)
        return std::nullopt;
    const double steps = std::round((*to - *from) / *step);
    if (!(*step > 0.0 && steps >= 1.0 && steps < static_cast<double>(kMostSamples))) {
        node.fault(fmt::format("from {} nm to {} nm in steps of {} nm", *from, *to, *step),
                   fmt::format("let 'to' be above 'from', and the step give 2 to {} samples", kMostSamples));
        return std::nullopt;
    }
    constexpr double kRoundingOfDecimalSteps = 1e-9;
    if (!(std::abs(*from + steps * *step - *to) <= kRoundingOfDecimalSteps * *to)) {
        node.fault(fmt::format("steps of {} nm from {} nm do not meet {} nm", *step, *from, *to),
                   "write a step that divides the range");
        return std::nullopt;
    }
    Grid grid;
    for (size_t i = 0; i <= static_cast<size_t>(steps); ++i)
        grid.push_back(*from + static_cast<double>(i) * *step);
    return grid;
}

std::optional<Grid> listed_grid(const YamlNode& node) {
    const std::optional<Grid> grid = node.numbers();
    if (!grid)
        return std::nullopt;
    const std::vector<YamlNode> items = node.items();
    bool good = grid->size() >= 2 && grid->size() <= kMostSamples;
    if (!good)
        node.fault(fmt::format("{} wavelengths", grid->size()),
                   fmt::format("write 2 to {}, in nm", kMostSamples));
    for (size_t i = 1; i < grid->size(); ++i) {
        if (!((*grid)[i] > (*grid)[i - 1])) {
            items[i].fault(fmt::format("{} nm follows {} nm", (*grid)[i], (*grid)[i - 1]),
                           "list the wavelengths in rising order, each once, and the spectra likewise");
            good = false;
        }
    }
    return good ? grid : std::nullopt;
}

std::optional<double> read_sample(const YamlNode& item, const std::string& at_wavelength, double lowest) {
    return item.parsed([&](std::string_view text) {
        double value = 0.0;
        try {
            value = parse_number(text);
        } catch (const InputError& error) {
            Fault fault = error.faults().front();
            fault.found += at_wavelength;
            throw InputError(fault);
        }
        if (!(value >= lowest)) {
            const std::string beyond =
                lowest < 0.0 ? fmt::format(", below {:g} times the noise there", kNoiseBelowZero) : "";
            throw InputError(fmt::format("negative radiance {}{}{}", text, at_wavelength, beyond),
                             "average more readings, and write 0 where nothing can be told from noise");
        }
        return value;
    });
}

double lowest_of(Negative negative, const std::vector<double>& noise, size_t index) {
    switch (negative) {
        case Negative::never:
            return 0.0;
        case Negative::within_noise:
            return index < noise.size() ? -kNoiseBelowZero * noise[index] : 0.0;
        case Negative::any:
            return -std::numeric_limits<double>::max();
    }
    return 0.0;
}

}  // namespace

std::optional<Grid> read_grid(const YamlNode& root) {
    const YamlNode node = root.at("wavelengths", "{from: 380 nm, to: 780 nm, step: 5 nm} or a list of nm");
    if (!node.exists())
        return std::nullopt;
    std::optional<Grid> grid;
    if (node.is_sequence()) {
        grid = listed_grid(node);
    } else {
        grid = regular_grid(node);
    }
    if (!grid)
        return std::nullopt;
    if (!(grid->front() >= 100.0 && grid->back() <= 5000.0)) {
        node.fault(fmt::format("wavelengths from {} to {} nm", grid->front(), grid->back()),
                   "write wavelengths in nm, within 100 to 5000");
        return std::nullopt;
    }
    if (!(grid->front() <= kCoveredFromNm && grid->back() >= kCoveredToNm)) {
        node.fault(fmt::format("the spectra cover {} to {} nm only", grid->front(), grid->back()),
                   fmt::format("measure at least from {} to {} nm", kCoveredFromNm, kCoveredToNm));
    }
    for (size_t i = 1; i < grid->size(); ++i) {
        if (!((*grid)[i] - (*grid)[i - 1] <= kWidestStepNm)) {
            node.fault(fmt::format("no sample between {} and {} nm", (*grid)[i - 1], (*grid)[i]),
                       fmt::format("measure at least every {} nm", kWidestStepNm));
            break;  // the first gap stands for all
        }
    }
    return grid;
}

std::optional<std::vector<double>> read_samples(const YamlNode& node, const std::optional<Grid>& grid,
                                                Negative negative, const std::vector<double>& noise) {
    const std::vector<YamlNode> items = node.items();
    if (!node.is_sequence())
        return std::nullopt;
    const bool fits = grid && items.size() == grid->size();
    if (grid && !fits) {
        node.fault(fmt::format("{} samples for {} wavelengths", items.size(), grid->size()),
                   "write one sample for each wavelength");
    }
    std::vector<double> values;
    for (size_t i = 0; i < items.size(); ++i) {
        const std::string at_wavelength = fits ? fmt::format(" at {} nm", (*grid)[i]) : "";
        if (const std::optional<double> value =
                read_sample(items[i], at_wavelength, lowest_of(negative, noise, i)))
            values.push_back(*value);
    }
    if (!fits || values.size() != grid->size())
        return std::nullopt;
    return values;
}

}  // namespace isoseam
