#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "protocols/language/protocol.h"
#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

// Checks that the field and the sources allow the comparison that the blocks ask for.
void check_what_is_compared(const YamlNode& field, const YamlNode& sources, const Protocol& protocol) {
    if (protocol.flicker && protocol.rig.sources.size() > 1) {
        sources.fault("flicker on two screens: each refreshes on its own",
                      "name one source: it lights both halves");
    }
    const bool adjusted = std::any_of(protocol.blocks.begin(), protocol.blocks.end(), [](const Block& block) {
        return std::holds_alternative<AdjustmentPlan>(block.plan);
    });
    if (protocol.field.parts == FieldParts::spot && !protocol.flicker && adjusted) {
        field.find("parts").fault(
            "a spot has one light, and nothing beside it to compare with",
            "write halves or quadrants, or let two lights take turns in the spot with a section 'flicker'");
    }
}

// Where a protocol has one block, its keys stand at the top.
const std::vector<std::string> kSections{
    "isoseam_protocol",  "title",        "about",      "languages", "consent",         "exclusions",
    "questions",         "observer",     "rig",        "lights",    "field",           "flicker",
    "adaptation",        "instructions", "closing",    "blocks",    "order_of_blocks", "adjustment",
    "flicker_null",      "task",         "conditions", "order",     "rest_every",      "seconds_per_setting",
    "seconds_per_trial", "seed"};

void read_sections(const YamlNode& root, Protocol& protocol, FaultList& faults,
                   const std::map<std::string, std::string>* files) {
    root.only_keys(kSections);
    protocol.title = read_words(root.at("title", "one line that names the experiment")).value_or("");
    protocol.about = read_words(root.find("about")).value_or("");
    read_observer(root.at("observer", "the nominal observer: {field: 2 deg, age: 32 years}"), protocol);
    const TextReader texts(root.find("languages"), protocol);
    LightReader lights(root.find("lights"), protocol, faults, files);
    lights.read_named_lights();
    ProtocolReading reading{protocol, faults, lights, texts};
    reading.halves =
        read_field(root.at("field", "the form of the field: shape, size, split, surround"), protocol, lights);
    read_rig(root.at("rig", "the viewing distance, the screens and the half that each one lights"),
             reading.halves, protocol);
    read_flicker(root.find("flicker"), reading);
    read_adaptation(root.find("adaptation"), protocol, lights);
    read_people(root, reading);
    protocol.pages = texts.pages(root.find("instructions"));
    protocol.closing = texts.words(root.find("closing"));
    if (const auto seed = root.find("seed").whole_number(0, std::numeric_limits<long>::max()))
        protocol.seed = static_cast<std::uint64_t>(*seed);
    read_blocks(root, reading);
    check_what_is_compared(root.find("field"), root.find("rig").find("sources"), protocol);
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
    check_version(root, {"isoseam_protocol", "the protocol language", "protocol", kProtocolVersion}, faults);
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
