#include <fmt/format.h>

#include <limits>

#include "protocols/protocol.h"
#include "protocols/reader_parts.h"

namespace isoseam {
namespace {

// Another version is told alone: its other faults would follow from it.
void check_version(const YamlNode& root, const FaultList& faults) {
    const YamlNode node = root.at("isoseam_protocol", "the version of the protocol language, which is 1");
    const std::optional<std::string> version = node.text();
    if (version && *version != std::to_string(kProtocolVersion)) {
        node.fault(fmt::format("version '{}' of the protocol language", *version),
                   fmt::format(
                       "this program reads version {}: rewrite the protocol for it, or take the program that "
                       "the protocol was written for",
                       kProtocolVersion));
    }
    if (!version || *version != std::to_string(kProtocolVersion))
        faults.throw_if_any();
}

void read_order(const YamlNode& root, Protocol& protocol) {
    protocol.shuffled = root.find("order").choice({"shuffled", "listed"}).value_or(0) == 0;
    if (const auto seed = root.find("seed").whole_number(0, std::numeric_limits<long>::max()))
        protocol.seed = static_cast<std::uint64_t>(*seed);
    constexpr long kMostBetweenRests = 10000;
    protocol.rest_every =
        static_cast<int>(root.find("rest_every").whole_number(1, kMostBetweenRests).value_or(0));
    const YamlNode per_setting = root.find("seconds_per_setting");
    protocol.seconds_per_setting =
        read_positive(per_setting, Dimension::duration_s).value_or(protocol.seconds_per_setting);
}

void check_what_is_compared(const YamlNode& field, const YamlNode& sources, const Protocol& protocol) {
    if (protocol.flicker && protocol.rig.sources.size() > 1) {
        sources.fault("flicker on two screens: each refreshes on its own",
                      "name one source: it lights both halves");
    }
    if (protocol.field.parts == FieldParts::spot && !protocol.flicker) {
        field.find("parts").fault(
            "a spot has one light, and nothing beside it to compare with",
            "write halves or quadrants, or let two lights take turns in the spot with a section 'flicker'");
    }
}

void read_sections(const YamlNode& root, Protocol& protocol, FaultList& faults,
                   const std::map<std::string, std::string>* files) {
    root.only_keys({"isoseam_protocol", "title", "about", "observer", "rig", "lights", "field", "flicker",
                    "adaptation", "instructions", "closing", "adjustment", "conditions", "order", "seed",
                    "rest_every", "seconds_per_setting"});
    protocol.title = read_words(root.at("title", "one line that names the experiment")).value_or("");
    protocol.about = read_words(root.find("about")).value_or("");
    read_observer(root.at("observer", "the nominal observer: {field: 2 deg, age: 32 years}"), protocol);

    LightReader lights(root.find("lights"), protocol, faults, files);
    lights.read_named_lights();
    const std::optional<HalfNames> halves =
        read_field(root.at("field", "the form of the field: shape, size, split, surround"), protocol, lights);
    read_rig(root.at("rig", "the viewing distance, the screens and the half that each one lights"), halves,
             protocol);
    read_flicker(root.find("flicker"), protocol);
    read_adaptation(root.find("adaptation"), protocol, lights);
    read_instructions(root.find("instructions"), protocol);
    protocol.closing = read_words(root.find("closing")).value_or("");
    read_adjustment(root.at("adjustment", "the half that is adjusted, and along which axes"), halves,
                    protocol);
    check_what_is_compared(root.find("field"), root.find("rig").find("sources"), protocol);
    read_conditions(root.at("conditions", "a list of reference lights to match"), protocol, lights);
    read_order(root, protocol);
}

Protocol parse(const std::string& text, const std::string& file,
               const std::map<std::string, std::string>* spectrum_files) {
    FaultList faults(file);
    Protocol protocol;
    protocol.file = file;
    protocol.text = text;
    const YamlNode root = parse_yaml(text, faults);
    if (!root.is_map())
        root.fault("this is not a protocol", "write 'key: value' lines; protocols/README.md has an example");
    faults.throw_if_any();
    check_version(root, faults);
    read_sections(root, protocol, faults, spectrum_files);
    faults.throw_if_any();
    return protocol;
}

}  // namespace

Protocol parse_protocol(const std::string& text, const std::string& file) {
    return parse(text, file, nullptr);
}

Protocol parse_protocol(const std::string& text, const std::string& file,
                        const std::map<std::string, std::string>& spectrum_files) {
    return parse(text, file, &spectrum_files);
}

Protocol read_protocol(const std::string& path) {
    return parse_protocol(read_text_file(path), path);
}

}  // namespace isoseam
