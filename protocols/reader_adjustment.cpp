#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "protocols/axes.h"
#include "protocols/reader_parts.h"

namespace isoseam {
namespace {

constexpr std::size_t kMostAxes = 16;

std::optional<Half> read_half(const YamlNode& node, const HalfNames& halves) {
    const std::optional<std::string> word = node.text();
    const auto found = word ? std::find(halves.begin(), halves.end(), *word) : halves.end();
    if (found != halves.end())
        return static_cast<Half>(found - halves.begin());
    if (word) {
        node.fault(
            is_half_name(*word) ? fmt::format("the field has no {} half", *word)
                                : fmt::format("found '{}'", *word),
            fmt::format("its split makes a {} and a {} half: write one of them", halves[0], halves[1]));
    }
    return std::nullopt;
}

// A size along an axis, in the axis's own unit.
std::optional<double> read_along(const YamlNode& node, bool plain_number, bool zero_allowed) {
    const std::optional<double> value = plain_number ? node.number() : node.quantity(Dimension::fraction);
    if (!value || *value > 0.0 || (zero_allowed && *value == 0.0))
        return value;
    const std::string written = node.text().value_or("");
    if (zero_allowed) {
        node.fault(fmt::format("starting points within '{}'", written), "write 0 or more");
    } else {
        node.fault(fmt::format("a step of '{}'", written), "write a size above 0");
    }
    return std::nullopt;
}

std::optional<AdjustmentAxis> read_axis(const YamlNode& node, AdjustmentSpace space,
                                        const std::string& name) {
    AdjustmentAxis axis;
    axis.name = name;
    try {
        axis.direction = axis_direction(space, name);
    } catch (const InputError& error) {
        node.fault(error.faults().front().found, error.faults().front().remedy);
        return std::nullopt;
    }
    node.only_keys({"fine", "coarse", "start"});
    const bool plain = is_plain_number(space, name);
    const std::string example = plain ? "0.001" : "0.5 %";
    const auto fine = read_along(node.at("fine", "the small step, such as " + example), plain, false);
    const YamlNode coarse_node = node.at("coarse", "the large step, such as " + example);
    const auto coarse = read_along(coarse_node, plain, false);
    const auto start = read_along(
        node.at("start", "how far from the match settings start at most, such as " + example), plain, true);
    if (fine && coarse && !(*coarse >= *fine)) {
        coarse_node.fault("the coarse step is smaller than the fine one",
                          "make coarse at least as large as fine");
        return std::nullopt;
    }
    if (!fine || !coarse || !start)
        return std::nullopt;
    axis.fine = *fine;
    axis.coarse = *coarse;
    axis.start = *start;
    return axis;
}

void check_axis_count(const YamlNode& node, AdjustmentSpace space, std::size_t count) {
    if (!node.is_map())
        return;
    const std::size_t most = space == AdjustmentSpace::primaries ? kMostAxes : 3;
    if (count == 0)
        node.fault("no axis", "name at least one");
    if (count > most) {
        node.fault(fmt::format("{} axes, but the space {} has {}", count, to_string(space), most),
                   fmt::format("name {} at most", most));
    }
}

void check_independent(const YamlNode& node, const std::vector<AdjustmentAxis>& axes) {
    for (const DependentAxis& dependent : dependent_axes(axes)) {
        std::vector<std::string> others;
        for (const std::size_t other : dependent.made_of)
            others.push_back("'" + axes[other].name + "'");
        const std::string& name = axes[dependent.axis].name;
        node.find(name).fault(
            fmt::format("axis '{}' only repeats what {} can do", name, fmt::join(others, " and ")),
            "leave one of them out");
    }
}

void read_axes(const YamlNode& node, AdjustmentSpace space, Protocol& protocol) {
    const std::vector<std::string> names = node.keys();
    check_axis_count(node, space, names.size());
    for (const std::string& name : names) {
        const YamlNode axis_node = node.at(name, "its steps: {fine: ..., coarse: ..., start: ...}");
        if (!axis_node.exists())
            continue;
        protocol.places[axis_node.key_path()] = {axis_node.line(), axis_node.column()};
        if (auto axis = read_axis(axis_node, space, name))
            protocol.axes.push_back(std::move(*axis));
    }
    if (space == AdjustmentSpace::primaries || names.size() <= 3)
        check_independent(node, protocol.axes);
}

}  // namespace

void read_adjustment(const YamlNode& node, const std::optional<HalfNames>& halves, Protocol& protocol) {
    node.only_keys({"half", "space", "axes"});
    const bool has_halves = protocol.field.parts == FieldParts::halves;
    const YamlNode half =
        has_halves ? node.at("half", "the half that the observer adjusts") : node.find("half");
    if (!has_halves)
        refuse(half, "the field has no halves", "take half away: the second light is adjusted");
    else if (halves)
        protocol.adjusted = read_half(half, *halves).value_or(protocol.adjusted);
    const YamlNode space_node = node.at("space", "cone_contrast, macleod_boynton or primaries");
    const auto space = space_node.choice({"cone_contrast", "macleod_boynton", "primaries"});
    const YamlNode axes = node.at("axes", "one to three axes with their steps");
    if (!space)
        return;
    protocol.space = static_cast<AdjustmentSpace>(*space);
    read_axes(axes, protocol.space, protocol);
}

}  // namespace isoseam
