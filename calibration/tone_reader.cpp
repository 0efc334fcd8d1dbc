#include "calibration/tone_reader.h"

#include <fmt/format.h>

#include <string>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

using std::size_t;

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

ToneForm form_of(const YamlNode& tone, const YamlNode& form) {
    if (form.exists()) {
        std::vector<std::string> words;
        for (const ToneForm known : {ToneForm::power, ToneForm::gain_offset_gamma, ToneForm::offset_power,
                                     ToneForm::s_shaped, ToneForm::points})
            words.push_back(to_string(known));
        return static_cast<ToneForm>(form.choice(words).value_or(0));
    }
    return tone.find("exponent").exists() ? ToneForm::power : ToneForm::points;
}

std::optional<ToneResponse> read_form(const YamlNode& tone, ToneForm form) {
    std::vector<double> values;
    const std::vector<std::string>& names = tone_parameter_names(form);
    for (const std::string& name : names) {
        const YamlNode node = tone.at(name, "a number: see calibration/README.md");
        if (form == ToneForm::power)
            return node.parsed([](std::string_view text) { return ToneResponse::power(parse_number(text)); });
        if (const std::optional<double> value = node.number())
            values.push_back(*value);
    }
    if (values.size() != names.size())
        return std::nullopt;
    try {
        return ToneResponse::of_form(form, values);
    } catch (const InputError& error) {
        for (const Fault& fault : error.faults())
            tone.find(fault.key).fault(fault.found, fault.remedy);
        return std::nullopt;
    }
}

std::vector<double> read_uncertainty(const YamlNode& node, const ToneResponse& response) {
    const bool points = response.form() == ToneForm::points;
    const size_t wanted = points ? response.drives().size() : response.parameters().size();
    const std::optional<std::vector<double>> values = node.numbers();
    if (!values)
        return {};
    if (values->size() != wanted)
        node.fault(
            fmt::format("{} numbers for {} {}", values->size(), wanted, points ? "points" : "parameters"),
            "write one for each");
    for (const double value : *values) {
        if (!(value >= 0.0)) {
            node.fault(fmt::format("a standard deviation of {}", value), "write 0 or more");
            break;
        }
    }
    return *values;
}

}  // namespace

std::optional<ReadTone> read_tone(const YamlNode& tone) {
    const YamlNode form_node = tone.find("form");
    const ToneForm form = form_of(tone, form_node);
    if (form_node.exists()) {
        std::vector<std::string> known = form == ToneForm::points ? std::vector<std::string>{"drive", "light"}
                                                                  : tone_parameter_names(form);
        known.insert(known.end(), {"form", "uncertainty"});
        tone.only_keys(known);
    } else {
        tone.only_keys({"exponent", "drive", "light", "form", "uncertainty"});
        if (form == ToneForm::power && (tone.find("drive").exists() || tone.find("light").exists()))
            tone.fault("an exponent and measured points", "keep either the exponent, or drive and light");
    }
    const std::optional<ToneResponse> response =
        form == ToneForm::points ? read_points(tone) : read_form(tone, form);
    if (!response)
        return std::nullopt;
    return ReadTone{*response, read_uncertainty(tone.find("uncertainty"), *response)};
}

}  // namespace isoseam
