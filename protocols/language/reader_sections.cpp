#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

// CIE 170-1:2006 gives observers for fields of these sizes.
constexpr double kLeastFieldDeg = 1.0;
constexpr double kMostFieldDeg = 10.0;
constexpr double kLeastAgeYears = 20.0;
constexpr double kMostAgeYears = 80.0;

// A distance beyond these limits is a mistake in the unit rather than a rig. No eye can focus nearer, and no
// laboratory is longer.
constexpr double kLeastDistanceMm = 50.0;
constexpr double kMostDistanceMm = 50000.0;

const std::vector<std::string> kHalfWords{"left", "right", "upper", "lower"};

std::optional<double> read_split_angle_deg(const YamlNode& node) {
    return node.parsed([](std::string_view words) {
        if (words == "vertical")
            return 0.0;
        if (words == "horizontal")
            return 90.0;
        constexpr std::string_view kOblique = "oblique ";
        if (words.substr(0, kOblique.size()) != kOblique) {
            throw InputError(fmt::format("found '{}'", words),
                             "write vertical, horizontal, or oblique with an angle: 'oblique 45 deg'");
        }
        const double angle_deg = parse_quantity(words.substr(kOblique.size()), Dimension::angle_deg);
        if (!(angle_deg > -90.0 && angle_deg < 90.0 && angle_deg != 0.0)) {
            throw InputError(
                fmt::format("found '{}'", words),
                "write an angle between -90 deg and 90 deg, anticlockwise from vertical; 0 deg is "
                "'vertical' and 90 deg 'horizontal'");
        }
        return angle_deg;
    });
}

void read_fixation(const YamlNode& node, Protocol& protocol, LightReader& lights) {
    if (!node.exists())
        return;
    node.only_keys({"mark", "size", "light"});
    const auto mark = node.at("mark", "cross or dot").choice({"dot", "cross"});
    protocol.field.fixation = mark == 1 ? FixationMark::cross : FixationMark::dot;
    const YamlNode size = node.at("size", "its height, such as 0.2 deg");
    if (const auto size_deg = read_positive(size, Dimension::angle_deg)) {
        protocol.field.fixation_size = Degrees::from_degrees(*size_deg);
        if (!(protocol.field.fixation_size < protocol.field.size))
            size.fault("the mark is not smaller than the field",
                       "make it smaller: it lies in the field's centre");
    }
    protocol.fixation = lights.read(node.at("light", "the light of the mark, such as black"));
}

void read_size(const YamlNode& node, FieldGeometry& field) {
    const YamlNode size = node.at("size", "the diameter (or the side of a square), such as 2 deg");
    if (const auto size_deg = read_positive(size, Dimension::angle_deg)) {
        constexpr double kMostSizeDeg = 90.0;
        if (*size_deg > kMostSizeDeg)
            size.fault("the field is larger than 90 deg", "no flat screen shows that; write a smaller angle");
        field.size = Degrees::from_degrees(*size_deg);
    }
    const bool annulus = field.shape == FieldShape::annulus;
    const YamlNode inner =
        annulus ? node.at("inner_size", "the diameter of the annulus's hole") : node.find("inner_size");
    if (inner.exists() && !annulus)
        inner.fault("only an annulus has a hole", "take inner_size away, or write 'shape: annulus'");
    if (const auto inner_deg = read_positive(inner, Dimension::angle_deg)) {
        field.inner_size = Degrees::from_degrees(*inner_deg);
        if (annulus && !(field.inner_size < field.size))
            inner.fault("the hole is not smaller than the field", "make inner_size smaller than size");
    }
}

void read_gap(const YamlNode& gap, FieldGeometry& field) {
    if (!gap.exists())
        return;
    if (field.parts == FieldParts::spot) {
        gap.fault("a spot has no parts to lie between", "take gap away");
    } else if (gap.is_scalar() && gap.text() == "hairline") {
        field.hairline = true;
    } else if (const auto gap_deg = read_not_negative(gap, Dimension::angle_deg)) {
        field.gap = Degrees::from_degrees(*gap_deg);
        if (!(field.gap < field.size))
            gap.fault("the gap is not smaller than the field", "make it smaller: it lies between the halves");
    }
}

// Reads the split. True if there are halves whose names are known.
bool read_split(const YamlNode& node, FieldGeometry& field) {
    read_gap(node.find("gap"), field);
    if (field.parts == FieldParts::spot) {
        refuse(node.find("split"), "a spot is not split", "take split away, or write 'parts: halves'");
        return false;
    }
    const bool halves = field.parts == FieldParts::halves;
    const YamlNode split =
        halves ? node.at("split", "vertical, horizontal, or 'oblique 45 deg'") : node.find("split");
    const auto angle_deg = read_split_angle_deg(split);
    field.split_angle_deg = angle_deg.value_or(0.0);
    constexpr double kMostQuadrantTurnDeg = 45.0;
    if (!halves && angle_deg && !(*angle_deg > -kMostQuadrantTurnDeg && *angle_deg <= kMostQuadrantTurnDeg)) {
        split.fault("the lines of quadrants cross: another angle gives the same cross",
                    "write vertical, or an angle above -45 deg and up to 45 deg");
    }
    return halves && angle_deg;
}

void read_soft_edge(const YamlNode& node, FieldGeometry& field) {
    if (const auto width_deg = read_positive(node, Dimension::angle_deg)) {
        field.edge_width = Degrees::from_degrees(*width_deg);
        if (!(field.edge_width < field.size))
            node.fault("the soft edge is not narrower than the field", "make it narrower");
    }
}

void read_ring(const YamlNode& node, Protocol& protocol, LightReader& lights) {
    if (!node.exists())
        return;
    node.only_keys({"size", "light"});
    const YamlNode size = node.at("size", "its outer diameter, such as 6 deg");
    if (const auto size_deg = read_positive(size, Dimension::angle_deg)) {
        protocol.field.ring_size = Degrees::from_degrees(*size_deg);
        if (!(protocol.field.size < protocol.field.ring_size))
            size.fault("the ring is not larger than the field", "give it a larger size: it lies around it");
    }
    protocol.ring = lights.read(node.at("light", "the light of the ring"));
}

void read_sources(const YamlNode& node, Rig& rig, const std::string& protocol_file) {
    const std::vector<std::string> names = node.keys();
    if (node.is_map() && (names.empty() || names.size() > 2)) {
        node.fault(fmt::format("{} sources", names.size()), "name one source, or two: one for each half");
    }
    const std::filesystem::path folder = std::filesystem::path(protocol_file).parent_path();
    for (const std::string& name : names) {
        const YamlNode source = node.find(name);
        if (!is_plain_name(name))
            source.fault(fmt::format("'{}' cannot name a source", name),
                         "write a letter, then letters, digits, '_' and '-'");
        const std::string file = read_words(source).value_or("");
        rig.sources.push_back(
            {name, file.empty() ? "" : (folder / file).lexically_normal().string(), source.line()});
    }
}

std::optional<int> source_index(const YamlNode& node, const Rig& rig) {
    std::vector<std::string> names;
    for (const RigSource& source : rig.sources)
        names.push_back(source.name);
    return names.empty() ? std::nullopt : node.choice(names);
}

void check_every_source_lights_a_half(const YamlNode& sources, const Rig& rig) {
    for (int i = 0; i < static_cast<int>(rig.sources.size()); ++i) {
        if (rig.half_source[0] == i || rig.half_source[1] == i)
            continue;
        const std::string& name = rig.sources[static_cast<std::size_t>(i)].name;
        sources.find(name).fault(fmt::format("source '{}' lights no half", name),
                                 "give it a half, or take it away");
    }
}

void read_halves(const YamlNode& node, const HalfNames& halves, Rig& rig) {
    for (const std::string& word : kHalfWords) {
        const YamlNode half = node.find(word);
        if (half.exists() && std::find(halves.begin(), halves.end(), word) == halves.end())
            half.fault(fmt::format("the field has no {} half", word),
                       fmt::format("its split makes a {} and a {} half: name these", halves[0], halves[1]));
    }
    bool all_found = true;
    for (std::size_t i = 0; i < halves.size(); ++i) {
        const auto source = source_index(
            node.at(halves[i], fmt::format("the source that lights the {} half", halves[i])), rig);
        rig.half_source[i] = source.value_or(0);
        all_found = all_found && source;
    }
    if (all_found && rig.sources.size() == 2)
        check_every_source_lights_a_half(node.find("sources"), rig);
}

// A field without halves can lie on one screen only.
void check_one_source(const YamlNode& node, const YamlNode& sources, const Rig& rig) {
    if (rig.sources.size() > 1)
        sources.fault("two sources, but the field has no halves", "name one: it lights the whole field");
    for (const std::string& word : kHalfWords)
        refuse(node.find(word), fmt::format("the field has no {} half", word),
               "take the key away: the one source lights the whole field");
}

}  // namespace

void check_version(const YamlNode& root, const FileLanguage& language, const FaultList& faults) {
    const YamlNode node =
        root.at(language.key, fmt::format("the version of {}, which is {}", language.name, language.version));
    const std::optional<std::string> version = node.text();
    if (version == std::to_string(language.version))
        return;
    if (version) {
        node.fault(
            fmt::format("version '{}' of {}", *version, language.name),
            fmt::format("this program reads version {}: rewrite the {} for it, or take the program that the "
                        "{} was written for",
                        language.version, language.file, language.file));
    }
    faults.throw_if_any();
}

bool is_half_name(const std::string& word) {
    return std::find(kHalfWords.begin(), kHalfWords.end(), word) != kHalfWords.end();
}

bool is_plain_name(const std::string& name) {
    const auto is_letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
    const auto is_part = [&](char c) {
        return is_letter(c) || (c >= '0' && c <= '9') || c == '_' || c == '-';
    };
    return !name.empty() && is_letter(name.front()) && std::all_of(name.begin(), name.end(), is_part);
}

void keep_place(const YamlNode& node, Protocol& protocol) {
    protocol.places[node.key_path()] = {node.line(), node.column()};
}

std::optional<std::string> read_words(const YamlNode& node) {
    std::optional<std::string> words = node.text();
    if (words && words->find_first_not_of(" \t\r\n") == std::string::npos) {
        node.fault("is empty", "write some words, or take the key away");
        return std::nullopt;
    }
    return words;
}

void refuse(const YamlNode& node, std::string found, std::string remedy) {
    if (node.exists())
        node.fault(std::move(found), std::move(remedy));
}

std::optional<double> read_not_negative(const YamlNode& node, Dimension dimension) {
    const std::optional<double> value = node.quantity(dimension);
    if (value && !(*value >= 0.0)) {
        node.fault(fmt::format("'{}' is below 0", node.text().value_or("")), "write 0 or more");
        return std::nullopt;
    }
    return value;
}

std::optional<double> read_positive(const YamlNode& node, Dimension dimension) {
    const std::optional<double> value = node.quantity(dimension);
    if (value && !(*value > 0.0)) {
        node.fault(fmt::format("'{}' is not above 0", node.text().value_or("")), "write a value above 0");
        return std::nullopt;
    }
    return value;
}

void read_observer(const YamlNode& node, Protocol& protocol) {
    node.only_keys({"field", "age"});
    const YamlNode field = node.at("field", "the field size that the observer is for, such as 2 deg");
    if (const auto value = field.quantity(Dimension::angle_deg, kLeastFieldDeg, kMostFieldDeg))
        protocol.observer.field = Degrees::from_degrees(*value);
    const YamlNode age = node.at("age", "the age that the observer is for, such as 32 years");
    if (age.is_scalar() && age.text() == "session")
        protocol.age_from_session = true;
    else if (const auto value = age.quantity(Dimension::age_years, kLeastAgeYears, kMostAgeYears))
        protocol.observer.age = Years::from_years(*value);
}

std::optional<HalfNames> read_field(const YamlNode& node, Protocol& protocol, LightReader& lights) {
    node.only_keys({"shape", "size", "inner_size", "parts", "split", "gap", "soft_edge", "ring", "surround",
                    "fixation"});
    FieldGeometry& field = protocol.field;
    if (const auto shape = node.at("shape", "disc, square or annulus").choice({"disc", "square", "annulus"}))
        field.shape = static_cast<FieldShape>(*shape);
    if (const auto parts = node.find("parts").choice({"halves", "quadrants", "spot"}))
        field.parts = static_cast<FieldParts>(*parts);
    read_size(node, field);
    const bool has_halves = read_split(node, field);
    read_soft_edge(node.find("soft_edge"), field);
    read_ring(node.find("ring"), protocol, lights);
    if (const auto surround = lights.read(node.at("surround", "the light around the field, such as black")))
        protocol.surround = *surround;
    read_fixation(node.find("fixation"), protocol, lights);
    if (!has_halves)
        return std::nullopt;
    return HalfNames{half_name(Half::first, field), half_name(Half::second, field)};
}

void read_rig(const YamlNode& node, const std::optional<HalfNames>& halves, Protocol& protocol) {
    node.only_keys({"distance", "sources", "left", "right", "upper", "lower", "mirrored"});
    Rig& rig = protocol.rig;
    const YamlNode distance = node.at("distance", "from the eye to the screen, such as 600 mm");
    if (const auto mm = distance.quantity(Dimension::length_mm, kLeastDistanceMm, kMostDistanceMm))
        rig.distance_mm = *mm;
    const YamlNode sources = node.at("sources", "a name and a calibration file for each screen");
    read_sources(sources, rig, protocol.file);
    if (protocol.field.parts != FieldParts::halves)
        check_one_source(node, sources, rig);
    else if (halves)
        read_halves(node, *halves, rig);
    for (const YamlNode& item : node.find("mirrored").items()) {
        if (const auto source = source_index(item, rig); source && *source < 2)
            rig.mirrored[static_cast<std::size_t>(*source)] = true;
    }
}

void read_adaptation(const YamlNode& node, Protocol& protocol, LightReader& lights) {
    if (!node.exists())
        return;
    node.only_keys({"light", "duration", "top_up"});
    protocol.adaptation = lights.read(node.at("light", "the light that fills the screen"));
    const YamlNode duration =
        node.at("duration", "how long it is shown before the first setting, such as 60 s");
    protocol.adaptation_s = read_positive(duration, Dimension::duration_s).value_or(0.0);
    protocol.top_up_s = read_not_negative(node.find("top_up"), Dimension::duration_s).value_or(0.0);
}

}  // namespace isoseam
