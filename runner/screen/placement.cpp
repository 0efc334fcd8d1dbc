#include "runner/screen/placement.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "base/yaml_reader.h"

namespace isoseam {
namespace {

constexpr const char* kVersion = "1";
constexpr long kMostPixels = 100000;

PlacedSource read_source(const YamlNode& node) {
    node.only_keys({"centre", "screen"});
    PlacedSource placed;
    const YamlNode screen =
        node.at("screen", "width and height of the screen in pixels, such as [1920, 1080]");
    const YamlNode centre = node.at("centre", "of the field, in pixels from the left and from above");
    const auto size = screen.numbers();
    if (size && size->size() == 2 && (*size)[0] >= 1.0 && (*size)[1] >= 1.0 && (*size)[0] <= kMostPixels &&
        (*size)[1] <= kMostPixels) {
        placed.width_px = static_cast<int>((*size)[0]);
        placed.height_px = static_cast<int>((*size)[1]);
    } else if (size) {
        screen.fault("no size of a screen", "write [width, height] in pixels");
    }
    const auto at = centre.numbers();
    if (at && at->size() == 2) {
        placed.x_px = (*at)[0];
        placed.y_px = (*at)[1];
        const bool inside = placed.x_px >= 0.0 && placed.x_px <= placed.width_px && placed.y_px >= 0.0 &&
                            placed.y_px <= placed.height_px;
        if (!inside && placed.width_px > 0)
            centre.fault("outside the screen", "place the field anew: isoseam session place");
    } else if (at) {
        centre.fault(fmt::format("{} numbers", at->size()), "write [x, y] in pixels");
    }
    return placed;
}

}  // namespace

Placement parse_placement(const std::string& text, const std::string& file) {
    FaultList faults(file);
    const YamlNode root = parse_yaml(text, faults);
    const YamlNode version = root.at("isoseam_placement", "the version of this format, which is 1");
    if (const auto words = version.text(); words && *words != kVersion)
        version.fault(fmt::format("version '{}' of this format", *words), "this program reads version 1");
    faults.throw_if_any();
    root.only_keys({"isoseam_placement", "sources"});
    Placement placement;
    placement.file = file;
    placement.text = text;
    const YamlNode sources = root.at("sources", "a place for each source of the rig");
    for (const std::string& name : sources.keys())
        placement.sources[name] = read_source(sources.find(name));
    faults.throw_if_any();
    return placement;
}

Placement read_placement(const std::string& path) {
    return parse_placement(read_text_file(path), path);
}

std::string placement_text(const Placement& placement) {
    std::string text = fmt::format(
        "# Where the field stands on each screen. Made by 'isoseam session place'; used with --placement.\n"
        "isoseam_placement: {}\nsources:\n",
        kVersion);
    for (const auto& [name, source] : placement.sources) {
        text += fmt::format("  {}: {{centre: [{}, {}], screen: [{}, {}]}}\n", name, source.x_px, source.y_px,
                            source.width_px, source.height_px);
    }
    return text;
}

PlacedSource placed(const Placement& placement, const std::string& source, int width_px, int height_px) {
    const auto found = placement.sources.find(source);
    if (found == placement.sources.end())
        return {width_px / 2.0, height_px / 2.0, width_px, height_px};
    const PlacedSource& place = found->second;
    if (place.width_px != width_px || place.height_px != height_px) {
        throw InputError(Fault{
            placement.file, 0, 0, "sources." + source,
            fmt::format("was placed on {} x {} pixels, but the screen has {} x {}", place.width_px,
                        place.height_px, width_px, height_px),
            "set the screen to the resolution that it had, or place the field anew: isoseam session place"});
    }
    return place;
}

void check_placement(const Placement& placement, const Setup& setup,
                     const std::vector<int>& screen_of_source) {
    if (placement.file.empty())
        return;
    std::vector<Fault> faults;
    const auto fault = [&](const std::string& source, std::string found) {
        faults.push_back({placement.file, 0, 0, "sources." + source, std::move(found),
                          "place the field of this protocol: isoseam session place"});
    };
    std::map<int, const PlacedSource*> on_screen;
    std::vector<std::string> known;
    for (std::size_t i = 0; i < setup.protocol().rig.sources.size(); ++i) {
        const std::string& name = setup.protocol().rig.sources[i].name;
        known.push_back(name);
        const auto found = placement.sources.find(name);
        if (found == placement.sources.end()) {
            fault(name, "has no place in it");
            continue;
        }
        const PlacedSource*& first = on_screen[screen_of_source[i]];
        if (first == nullptr)
            first = &found->second;
        else if (first->x_px != found->second.x_px || first->y_px != found->second.y_px)
            fault(name,
                  fmt::format("stands elsewhere than the other source on screen {}", screen_of_source[i]));
    }
    for (const auto& [name, place] : placement.sources) {
        if (std::find(known.begin(), known.end(), name) == known.end())
            fault(name, fmt::format("the rig has no such source; it has {}", fmt::join(known, ", ")));
    }
    if (!faults.empty())
        throw InputError(faults);
}

}  // namespace isoseam
