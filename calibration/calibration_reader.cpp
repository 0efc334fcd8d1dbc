// Reads the file format that README.md describes.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "calibration/calibration.h"
#include "calibration/display_model.h"
#include "calibration/yaml_reader.h"
#include "colorimetry/errors.h"

namespace isoseam {
namespace {

using std::size_t;
using Grid = std::vector<double>;

constexpr const char* kUnit = "W/(sr m2 nm)";
// Where cones catch nearly all light of a screen; a file must reach over it.
constexpr double kCoveredFromNm = 400.0;
constexpr double kCoveredToNm = 700.0;
// Coarser samples do not describe the emission bands of a screen.
constexpr double kWidestStepNm = 20.0;
constexpr size_t kMostSamples = 10000;

// Another version may mean other things by the same keys: nothing else is read then.
void check_version(const YamlNode& root, const FaultList& faults) {
    const YamlNode version =
        root.at("isoseam_calibration", fmt::format("the version of the format, {}", kCalibrationVersion));
    const std::optional<std::string> text = version.text();
    if (!text || *text == std::to_string(kCalibrationVersion))
        return;
    throw InputError(
        Fault{faults.file(), version.line(), version.column(), version.key_path(),
              fmt::format("version '{}' of the calibration format", *text),
              fmt::format("this program reads version {}: write the file anew, or use the program that "
                          "belongs to it",
                          kCalibrationVersion)});
}

std::string required_text(const YamlNode& map, const std::string& key, const char* what) {
    const YamlNode node = map.at(key, what);
    const std::optional<std::string> text = node.text();
    if (text && text->empty())
        node.fault("is empty", fmt::format("write {}", what));
    return text.value_or("");
}

Day required_day(const YamlNode& map, const std::string& key, const char* what) {
    return map.at(key, what).parsed(parse_day).value_or(Day{});
}

void read_screen(const YamlNode& screen, Calibration& calibration) {
    screen.only_keys({"name", "serial", "panel"});
    calibration.name = required_text(screen, "name", "the screen's name");
    calibration.serial = screen.find("serial").text().value_or("");
    calibration.panel = screen.find("panel").text().value_or("");
}

void read_measured(const YamlNode& measured, Calibration& calibration) {
    measured.only_keys({"on", "with", "how", "warm_up"});
    calibration.measured_on = required_day(measured, "on", "the day, as in 2026-11-20");
    calibration.measured_with = required_text(measured, "with", "the instrument");
    calibration.measured_how = measured.find("how").text().value_or("");
    calibration.warm_up_s = measured.at("warm_up", "how long the screen had been on, as in 30 min")
                                .quantity(Dimension::duration_s, 0.0, 1e9)
                                .value_or(0.0);
}

void read_validity(const YamlNode& root, Calibration& calibration) {
    const YamlNode node = root.at("valid_until", "the last day of use, as in 2027-05-20");
    const std::optional<Day> day = node.parsed(parse_day);
    calibration.valid_until = day.value_or(Day{});
    if (day && calibration.measured_on > *day) {
        node.fault(fmt::format("valid until {}, but measured on {}", to_string(*day),
                               to_string(calibration.measured_on)),
                   "correct one of the days, or measure the screen again");
    }
}

void read_conditions(const YamlNode& conditions, Calibration& calibration) {
    conditions.only_keys({"resolution", "refresh", "bits", "pixel_pitch"});
    const YamlNode resolution = conditions.at("resolution", "width and height in pixels, as in [1920, 1080]");
    const std::vector<YamlNode> sides = resolution.items();
    if (resolution.is_sequence() && sides.size() != 2)
        resolution.fault(fmt::format("found {} numbers", sides.size()),
                         "write width and height, as in [1920, 1080]");
    if (sides.size() == 2) {
        calibration.width_px = static_cast<int>(sides[0].whole_number(1, 100000).value_or(0));
        calibration.height_px = static_cast<int>(sides[1].whole_number(1, 100000).value_or(0));
    }
    calibration.refresh_hz = conditions.at("refresh", "the frame rate, as in 60 Hz")
                                 .quantity(Dimension::frequency_hz, 1.0, 1000.0)
                                 .value_or(0.0);
    const YamlNode bits = conditions.at("bits", "8 or 10, of the frame buffer");
    calibration.bits = bits.choice({"8", "10"}).value_or(0) == 0 ? 8 : 10;
    calibration.pixel_pitch_mm = conditions.at("pixel_pitch", "from one pixel to the next, as in 0.27 mm")
                                     .quantity(Dimension::length_mm, 0.001, 100.0)
                                     .value_or(0.0);
}

void check_unit(const YamlNode& root) {
    const YamlNode node = root.at("unit", fmt::format("{} for all spectra", kUnit));
    const std::optional<std::string> unit = node.text();
    if (unit && *unit != kUnit) {
        node.fault(fmt::format("unit '{}'", *unit),
                   fmt::format("convert the spectra and write {} (milliwatts: divide by 1000)", kUnit));
    }
}

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

std::optional<double> read_sample(const YamlNode& item, const std::string& at_wavelength) {
    return item.parsed([&](std::string_view text) {
        double value = 0.0;
        try {
            value = parse_number(text);
        } catch (const InputError& error) {
            Fault fault = error.faults().front();
            fault.found += at_wavelength;
            throw InputError(fault);
        }
        if (!(value >= 0.0)) {
            throw InputError(
                Fault{"", 0, 0, "", fmt::format("negative radiance {}{}", text, at_wavelength),
                      "average more readings, and write 0 where nothing can be told from noise"});
        }
        return value;
    });
}

std::optional<Spectrum> read_spectrum(const YamlNode& node, const std::optional<Grid>& grid) {
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
        if (const std::optional<double> value = read_sample(items[i], at_wavelength))
            values.push_back(*value);
    }
    if (!fits || values.size() != grid->size())
        return std::nullopt;
    return Spectrum::from_radiance_w_sr_m2_nm(*grid, std::move(values));
}

std::optional<ToneResponse> read_points(const YamlNode& tone) {
    const YamlNode drive = tone.at("drive", "the measured drives, from 0 to 1");
    const YamlNode light = tone.at("light", "the light at each drive, from 0 to 1");
    const std::optional<std::vector<double>> drives = drive.numbers();
    const std::optional<std::vector<double>> lights = light.numbers();
    if (!drives || !lights)
        return std::nullopt;
    try {
        return ToneResponse::points(*drives, *lights);
    } catch (const InputError& error) {
        for (const Fault& fault : error.faults()) {
            const YamlNode& list = fault.key == "drive" ? drive : light;
            const std::vector<YamlNode> items = list.items();
            const auto index = static_cast<size_t>(fault.column) - 1;
            const bool of_one_point = drives->size() == lights->size() && drives->size() >= 3;
            (of_one_point ? items[index] : list).fault(fault.found, fault.remedy);
        }
        return std::nullopt;
    }
}

std::optional<ToneResponse> read_tone(const YamlNode& tone) {
    tone.only_keys({"exponent", "drive", "light"});
    const YamlNode exponent = tone.find("exponent");
    if (!exponent.exists())
        return read_points(tone);
    if (tone.find("drive").exists() || tone.find("light").exists())
        tone.fault("an exponent and measured points", "keep either the exponent, or drive and light");
    return exponent.parsed([](std::string_view text) { return ToneResponse::power(parse_number(text)); });
}

std::optional<Primary> read_primary(const YamlNode& node, const std::optional<Grid>& grid) {
    node.only_keys({"name", "spectrum", "tone"});
    const std::string name = required_text(node, "name", "a name for this primary");
    const YamlNode samples = node.at("spectrum", "the radiance at full drive, black subtracted");
    const std::optional<Spectrum> spectrum = read_spectrum(samples, grid);
    const std::optional<ToneResponse> tone =
        read_tone(node.at("tone", "{exponent: ...} or {drive: [...], light: [...]}"));
    if (spectrum && !(spectrum->integral_w_sr_m2() > 0.0)) {
        samples.fault("this primary gives no light", "write its spectrum at full drive");
        return std::nullopt;
    }
    if (!spectrum || !tone)
        return std::nullopt;
    return Primary{name, *spectrum, *tone};
}

void check_names(const std::vector<YamlNode>& nodes) {
    std::vector<std::string> names;
    for (const YamlNode& node : nodes) {
        const YamlNode name = node.find("name");
        const std::optional<std::string> text = name.text();
        if (text && std::find(names.begin(), names.end(), *text) != names.end())
            name.fault(fmt::format("a second primary named '{}'", *text),
                       "give each primary a name of its own");
        names.push_back(text.value_or(""));
    }
}

void read_primaries(const YamlNode& root, const std::optional<Grid>& grid, Calibration& calibration) {
    const YamlNode list = root.at("primaries", "a list of 3 to 16 primaries");
    const std::vector<YamlNode> nodes = list.items();
    if (list.is_sequence() && (nodes.size() < 3 || nodes.size() > 16))
        list.fault(fmt::format("found {} primaries", nodes.size()), "list 3 to 16");
    for (const YamlNode& node : nodes) {
        if (std::optional<Primary> primary = read_primary(node, grid))
            calibration.primaries.push_back(std::move(*primary));
    }
    check_names(nodes);
}

// Of a file that is otherwise in order.
void check_independence(const YamlNode& list, const Calibration& calibration) {
    const std::vector<Primary>& primaries = calibration.primaries;
    const std::vector<YamlNode> nodes = list.items();
    bool all_differ = true;
    for (size_t i = 0; i < primaries.size(); ++i) {
        for (size_t j = 0; j < i; ++j) {
            const double difference = shape_difference(primaries[i].spectrum, primaries[j].spectrum);
            if (difference >= kSamePrimaryTolerance)
                continue;
            all_differ = false;
            nodes[i]
                .find("spectrum")
                .fault(fmt::format("nearly the spectrum of '{}' (they differ by {:.2g} % in shape)",
                                   primaries[j].name, 100.0 * difference),
                       "check whether a reading was entered twice, or list the two as one primary");
        }
    }
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const double condition = DisplayModel(calibration).condition_number(observer);
    if (all_differ && !(condition <= kLargestConditionNumber)) {
        list.fault(
            fmt::format("the primaries' cone excitations are nearly dependent (condition number {:.2g})",
                        condition),
            fmt::format("use primaries that differ for the L, M and S cones (condition number up to {:g})",
                        kLargestConditionNumber));
    }
}

}  // namespace

Calibration parse_calibration(const std::string& text, const std::string& file) {
    FaultList faults(file);
    const YamlNode root = parse_yaml(text, faults);
    check_version(root, faults);
    root.only_keys({"isoseam_calibration", "invented", "screen", "measured", "valid_until", "conditions",
                    "unit", "wavelengths", "black", "primaries"});
    Calibration calibration;
    calibration.file = file;
    calibration.text = text;
    calibration.invented = root.find("invented").yes_no().value_or(false);
    read_screen(root.at("screen", "the name of the screen and more about it"), calibration);
    read_measured(root.at("measured", "when, with what and how"), calibration);
    read_validity(root, calibration);
    read_conditions(root.at("conditions", "resolution, refresh, bits and pixel_pitch while measuring"),
                    calibration);
    check_unit(root);
    const std::optional<Grid> grid = read_grid(root);
    calibration.black = read_spectrum(root.at("black", "the spectrum at drive 0"), grid).value_or(Spectrum{});
    read_primaries(root, grid, calibration);
    faults.throw_if_any();
    check_independence(root.find("primaries"), calibration);
    faults.throw_if_any();
    return calibration;
}

}  // namespace isoseam
