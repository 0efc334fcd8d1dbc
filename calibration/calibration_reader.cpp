// Reads the file format that README.md describes.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "base/errors.h"
#include "base/yaml_reader.h"
#include "calibration/calibration.h"
#include "calibration/display_model.h"
#include "calibration/readings.h"
#include "calibration/spectrum_reader.h"
#include "calibration/tone_reader.h"

namespace isoseam {
namespace {

using std::size_t;
constexpr const char* kUnknown = "unknown";

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

// Says whether a value is "unknown", and remembers it then: for what only a person can tell, and a program
// that fits a table of readings cannot.
bool is_unknown(const YamlNode& node, Calibration& calibration) {
    if (!node.exists() || !node.is_scalar() || node.text() != kUnknown)
        return false;
    calibration.unknown.push_back(node.key_path());
    return true;
}

void read_screen(const YamlNode& screen, Calibration& calibration) {
    screen.only_keys({"name", "serial", "panel"});
    calibration.name = required_text(screen, "name", "the screen's name");
    is_unknown(screen.find("name"), calibration);
    calibration.serial = screen.find("serial").text().value_or("");
    calibration.panel = screen.find("panel").text().value_or("");
}

void read_measured(const YamlNode& measured, Calibration& calibration) {
    measured.only_keys({"on", "with", "how", "warm_up"});
    const YamlNode on = measured.at("on", "the day, as in 2026-11-20");
    if (!is_unknown(on, calibration))
        calibration.measured_on = on.parsed(parse_day).value_or(Day{});
    calibration.measured_with = required_text(measured, "with", "the instrument");
    is_unknown(measured.find("with"), calibration);
    calibration.measured_how = measured.find("how").text().value_or("");
    const YamlNode warm_up = measured.at("warm_up", "how long the screen had been on, as in 30 min");
    if (!is_unknown(warm_up, calibration))
        calibration.warm_up_s = warm_up.quantity(Dimension::duration_s, 0.0, 1e9).value_or(0.0);
}

void read_validity(const YamlNode& root, Calibration& calibration) {
    const YamlNode node = root.at("valid_until", "the last day of use, as in 2027-05-20");
    if (is_unknown(node, calibration))
        return;
    const std::optional<Day> day = node.parsed(parse_day);
    calibration.valid_until = day.value_or(Day{});
    if (day && calibration.measured_on > *day) {
        node.fault(fmt::format("valid until {}, but measured on {}", to_string(*day),
                               to_string(calibration.measured_on)),
                   "correct one of the days, or measure the screen again");
    }
}

void read_resolution(const YamlNode& resolution, Calibration& calibration) {
    if (is_unknown(resolution, calibration))
        return;
    const std::vector<YamlNode> sides = resolution.items();
    if (resolution.is_sequence() && sides.size() != 2)
        resolution.fault(fmt::format("found {} numbers", sides.size()),
                         "write width and height, as in [1920, 1080]");
    if (sides.size() == 2) {
        calibration.width_px = static_cast<int>(sides[0].whole_number(1, 100000).value_or(0));
        calibration.height_px = static_cast<int>(sides[1].whole_number(1, 100000).value_or(0));
    }
}

void read_conditions(const YamlNode& conditions, Calibration& calibration) {
    conditions.only_keys({"resolution", "refresh", "bits", "pixel_pitch"});
    read_resolution(conditions.at("resolution", "width and height in pixels, as in [1920, 1080]"),
                    calibration);
    const YamlNode refresh = conditions.at("refresh", "the frame rate, as in 60 Hz");
    if (!is_unknown(refresh, calibration))
        calibration.refresh_hz = refresh.quantity(Dimension::frequency_hz, 1.0, 1000.0).value_or(0.0);
    const YamlNode bits = conditions.at("bits", "8 or 10, of the frame buffer");
    if (!is_unknown(bits, calibration)) {
        if (const auto choice = bits.choice({"8", "10"}))
            calibration.bits = *choice == 0 ? 8 : 10;
    }
    const YamlNode pitch = conditions.at("pixel_pitch", "from one pixel to the next, as in 0.27 mm");
    if (!is_unknown(pitch, calibration))
        calibration.pixel_pitch_mm = pitch.quantity(Dimension::length_mm, 0.001, 100.0).value_or(0.0);
}

void read_unit(const YamlNode& root, Calibration& calibration) {
    const std::string radiance = unit_text(ReadingUnit::w_sr_m2_nm);
    const YamlNode node = root.at("unit", radiance + " for all spectra");
    const std::optional<std::string> unit = node.text();
    calibration.scale_known = unit != unit_text(ReadingUnit::counts);
    if (unit && !reading_unit(*unit)) {
        node.fault(fmt::format("unit '{}'", *unit),
                   fmt::format("convert the spectra and write {} (milliwatts: divide by 1000)", radiance));
    }
}

void read_limits(const YamlNode& node, Calibration& calibration) {
    if (!node.exists())
        return;
    node.only_keys({"mean_de2000", "max_de2000", "cone_contrast_error_percent"});
    const auto limit = [&](const char* key) {
        const YamlNode child = node.at(key, "a number above 0");
        const std::optional<double> value = child.number();
        if (value && !(*value > 0.0))
            child.fault(fmt::format("a limit of {}", *value), "write a number above 0");
        return value.value_or(0.0);
    };
    calibration.limits =
        VerificationLimits{limit("mean_de2000"), limit("max_de2000"), limit("cone_contrast_error_percent")};
}

// The spectra of one file: all on its grid, and with its rule for negative samples.
class SpectrumReader {
  public:
    SpectrumReader(const YamlNode& root, const Calibration& calibration)
        : grid_(read_grid(root)),
          negative_(calibration.scale_known ? Negative::within_noise : Negative::any) {}

    void set_noise(std::vector<double> noise) { noise_ = std::move(noise); }

    std::optional<Spectrum> light(const YamlNode& node) const { return spectrum(node, negative_); }
    std::optional<Spectrum> difference(const YamlNode& node) const { return spectrum(node, Negative::any); }
    // Standard deviations; empty where there are none.
    std::vector<double> deviations(const YamlNode& node) const {
        if (!node.exists())
            return {};
        return read_samples(node, grid_, Negative::never, {}).value_or(std::vector<double>{});
    }

  private:
    std::optional<Spectrum> spectrum(const YamlNode& node, Negative negative) const {
        const std::optional<std::vector<double>> values = read_samples(node, grid_, negative, noise_);
        return values ? std::optional(Spectrum::from_signed_w_sr_m2_nm(*grid_, *values)) : std::nullopt;
    }

    std::optional<Grid> grid_;
    Negative negative_;
    std::vector<double> noise_;
};

std::optional<Primary> read_primary(const YamlNode& node, const SpectrumReader& reader) {
    node.only_keys({"name", "spectrum", "spectrum_uncertainty", "tone"});
    const std::string name = required_text(node, "name", "a name for this primary");
    const YamlNode samples = node.at("spectrum", "the radiance at full drive, black subtracted");
    const std::optional<Spectrum> spectrum = reader.light(samples);
    const std::optional<ReadTone> tone =
        read_tone(node.at("tone", "{exponent: ...} or {drive: [...], light: [...]}"));
    if (spectrum && !(spectrum->integral_w_sr_m2() > 0.0)) {
        samples.fault("this primary gives no light", "write its spectrum at full drive");
        return std::nullopt;
    }
    std::vector<double> uncertainty = reader.deviations(node.find("spectrum_uncertainty"));
    if (!spectrum || !tone)
        return std::nullopt;
    return Primary{name, *spectrum, tone->response, std::move(uncertainty), tone->uncertainty};
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

void read_primaries(const YamlNode& root, const SpectrumReader& reader, Calibration& calibration) {
    const YamlNode list = root.at("primaries", "a list of 3 to 16 primaries");
    const std::vector<YamlNode> nodes = list.items();
    if (list.is_sequence() && (nodes.size() < 3 || nodes.size() > 16))
        list.fault(fmt::format("found {} primaries", nodes.size()), "list 3 to 16");
    for (const YamlNode& node : nodes) {
        if (std::optional<Primary> primary = read_primary(node, reader))
            calibration.primaries.push_back(std::move(*primary));
    }
    check_names(nodes);
}

std::optional<std::vector<int>> read_partners(const YamlNode& list, const Calibration& calibration) {
    std::vector<int> indices;
    std::vector<std::string> names;
    for (const Primary& primary : calibration.primaries)
        names.push_back(primary.name);
    const std::vector<YamlNode> items = list.items();
    for (const YamlNode& item : items) {
        if (const std::optional<int> index = item.choice(names))
            indices.push_back(*index);
    }
    if (indices.size() != items.size())
        return std::nullopt;
    std::sort(indices.begin(), indices.end());
    const bool repeated = std::adjacent_find(indices.begin(), indices.end()) != indices.end();
    if (indices.size() < 2 || indices.size() > 3 || repeated) {
        list.fault(fmt::format("{} primaries{}", indices.size(), repeated ? ", one of them twice" : ""),
                   "name two or three different primaries");
        return std::nullopt;
    }
    return indices;
}

// Interactions are read after the primaries, whose names they use.
void read_interactions(const YamlNode& list, const SpectrumReader& reader, Calibration& calibration) {
    for (const YamlNode& node : list.items()) {
        node.only_keys({"of", "spectrum", "spectrum_uncertainty"});
        const YamlNode of = node.at("of", "the names of two or three primaries");
        const std::optional<std::vector<int>> partners = read_partners(of, calibration);
        const std::optional<Spectrum> spectrum =
            reader.difference(node.at("spectrum", "the light beyond the sum, at full drive"));
        std::vector<double> uncertainty = reader.deviations(node.find("spectrum_uncertainty"));
        if (!partners || !spectrum)
            continue;
        for (const Interaction& other : calibration.interactions) {
            if (other.of == *partners)
                of.fault("a second interaction of the same primaries", "add the two spectra up");
        }
        calibration.interactions.push_back({*partners, *spectrum, std::move(uncertainty)});
    }
}

// These faults are looked for in a file that is otherwise in order.
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
    root.only_keys({"isoseam_calibration", "invented", "estimated", "unfit", "screen", "measured",
                    "valid_until", "conditions", "limits", "unit", "wavelengths", "noise", "black",
                    "black_uncertainty", "primaries", "interactions"});
    Calibration calibration;
    calibration.file = file;
    calibration.text = text;
    calibration.invented = root.find("invented").yes_no().value_or(false);
    calibration.estimated = root.find("estimated").yes_no().value_or(false);
    calibration.unfit = root.find("unfit").text().value_or("");
    read_screen(root.at("screen", "the name of the screen and more about it"), calibration);
    read_measured(root.at("measured", "when, with what and how"), calibration);
    read_validity(root, calibration);
    read_conditions(root.at("conditions", "resolution, refresh, bits and pixel_pitch while measuring"),
                    calibration);
    read_limits(root.find("limits"), calibration);
    read_unit(root, calibration);
    SpectrumReader reader(root, calibration);
    calibration.noise = reader.deviations(root.find("noise"));
    reader.set_noise(calibration.noise);
    calibration.black = reader.light(root.at("black", "the spectrum at drive 0")).value_or(Spectrum{});
    calibration.black_uncertainty = reader.deviations(root.find("black_uncertainty"));
    read_primaries(root, reader, calibration);
    read_interactions(root.find("interactions"), reader, calibration);
    faults.throw_if_any();
    check_independence(root.find("primaries"), calibration);
    faults.throw_if_any();
    return calibration;
}

}  // namespace isoseam
