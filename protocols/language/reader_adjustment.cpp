#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "protocols/language/axes.h"
#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

constexpr std::size_t kMostAxes = 16;

// Reads a size along an axis, in the axis's own unit.
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

// Reads the name of an axis and finds the direction that it stands for.
std::optional<AdjustmentAxis> named_axis(const YamlNode& node, AdjustmentSpace space,
                                         const std::string& name) {
    AdjustmentAxis axis;
    axis.name = name;
    try {
        axis.direction = axis_direction(space, name);
    } catch (const InputError& error) {
        node.fault(error.faults().front().found, error.faults().front().remedy);
        return std::nullopt;
    }
    return axis;
}

std::string example_of_step(bool plain) {
    return plain ? "0.001" : "0.5 %";
}

// Reads `fine` and `coarse` of the axis. False if they could not be read.
bool read_steps(const YamlNode& node, bool plain, AdjustmentAxis& axis) {
    const std::string example = example_of_step(plain);
    const auto fine = read_along(node.at("fine", "the small step, such as " + example), plain, false);
    const YamlNode coarse_node = node.at("coarse", "the large step, such as " + example);
    const auto coarse = read_along(coarse_node, plain, false);
    if (fine && coarse && !(*coarse >= *fine)) {
        coarse_node.fault("the coarse step is smaller than the fine one",
                          "make coarse at least as large as fine");
        return false;
    }
    axis.fine = fine.value_or(0.0);
    axis.coarse = coarse.value_or(0.0);
    return fine && coarse;
}

std::optional<AdjustmentAxis> read_axis(const YamlNode& node, AdjustmentSpace space,
                                        const std::string& name) {
    std::optional<AdjustmentAxis> axis = named_axis(node, space, name);
    if (!axis)
        return std::nullopt;
    node.only_keys({"fine", "coarse", "start"});
    const bool plain = is_plain_number(space, name);
    const bool has_steps = read_steps(node, plain, *axis);
    const YamlNode start_node =
        node.at("start", "how far from the match settings start at most, such as " + example_of_step(plain));
    const auto start = read_along(start_node, plain, true);
    if (!has_steps || !start)
        return std::nullopt;
    axis->start = *start;
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

std::vector<AdjustmentAxis> read_axes(const YamlNode& node, AdjustmentSpace space, Protocol& protocol) {
    std::vector<AdjustmentAxis> axes;
    const std::vector<std::string> names = node.keys();
    check_axis_count(node, space, names.size());
    for (const std::string& name : names) {
        const YamlNode axis_node = node.at(name, "its steps: {fine: ..., coarse: ..., start: ...}");
        if (!axis_node.exists())
            continue;
        keep_place(axis_node, protocol);
        if (auto axis = read_axis(axis_node, space, name))
            axes.push_back(std::move(*axis));
    }
    if (space == AdjustmentSpace::primaries || names.size() <= 3)
        check_independent(node, axes);
    return axes;
}

}  // namespace

std::optional<AdjustmentSpace> read_space(const YamlNode& node) {
    const auto space = node.choice({"cone_contrast", "macleod_boynton", "primaries"});
    return space ? std::optional(static_cast<AdjustmentSpace>(*space)) : std::nullopt;
}

void read_half(const YamlNode& node, ProtocolReading& reading) {
    if (reading.protocol.field.parts != FieldParts::halves) {
        refuse(node, "the field has no halves", "take half away: the second light is adjusted");
        return;
    }
    const std::optional<std::string> word = reading.halves ? node.text() : std::nullopt;
    if (!word)
        return;
    const HalfNames& halves = *reading.halves;
    const auto found = std::find(halves.begin(), halves.end(), *word);
    if (found == halves.end()) {
        node.fault(
            is_half_name(*word) ? fmt::format("the field has no {} half", *word)
                                : fmt::format("found '{}'", *word),
            fmt::format("its split makes a {} and a {} half: write one of them", halves[0], halves[1]));
        return;
    }
    const Half half = static_cast<Half>(found - halves.begin());
    if (!reading.half_key.empty() && half != reading.protocol.adjusted) {
        node.fault(fmt::format("'{}', but {} has the other half", *word, reading.half_key),
                   "write the same half in all blocks");
        return;
    }
    reading.half_key = node.key_path();
    reading.protocol.adjusted = half;
}

std::vector<AdjustmentAxis> read_directions(const YamlNode& node, AdjustmentSpace space) {
    constexpr std::size_t kMostDirections = 3;
    std::vector<AdjustmentAxis> axes;
    const std::vector<YamlNode> items = node.is_scalar() ? std::vector<YamlNode>{node} : node.items();
    if (node.is_sequence() && (items.empty() || items.size() > kMostDirections)) {
        node.fault(fmt::format("{} directions", items.size()), "name one to three");
        return {};
    }
    for (const YamlNode& item : items) {
        const std::optional<std::string> name = item.text();
        auto axis = name ? named_axis(item, space, *name) : std::nullopt;
        if (!axis)
            return {};
        axes.push_back(std::move(*axis));
    }
    if (!dependent_axes(axes).empty()) {
        node.fault("one of the directions only repeats what others can do", "leave it out");
        return {};
    }
    return axes;
}

std::vector<AdjustmentAxis> read_adjustment(const YamlNode& node, ProtocolReading& reading, Block& block) {
    node.only_keys({"half", "space", "axes", "starts", "time_limit"});
    const bool has_halves = reading.protocol.field.parts == FieldParts::halves;
    read_half(has_halves ? node.at("half", "the half that the observer adjusts") : node.find("half"),
              reading);
    AdjustmentPlan plan;
    plan.bracketing = node.find("starts").choice({"random", "bracketing"}) == 1;
    plan.time_limit_s = read_positive(node.find("time_limit"), Dimension::duration_s);
    block.plan = plan;
    const auto space = read_space(node.at("space", "cone_contrast, macleod_boynton or primaries"));
    const YamlNode axes = node.at("axes", "one to three axes with their steps");
    if (!space)
        return {};
    block.space = *space;
    return read_axes(axes, *space, reading.protocol);
}

std::vector<AdjustmentAxis> read_flicker_null(const YamlNode& node, ProtocolReading& reading, Block& block) {
    node.only_keys({"half", "space", "axis", "fine", "coarse", "bracket", "jitter", "time_limit"});
    if (!reading.protocol.flicker)
        node.fault("nothing flickers", "add a section 'flicker', or ask for an adjustment");
    const bool has_halves = reading.protocol.field.parts == FieldParts::halves;
    read_half(has_halves ? node.at("half", "the half that the observer adjusts") : node.find("half"),
              reading);
    FlickerNullPlan plan;
    plan.time_limit_s = read_positive(node.find("time_limit"), Dimension::duration_s);
    const auto space = read_space(node.at("space", "cone_contrast, macleod_boynton or primaries"));
    const YamlNode axis_node = node.at("axis", "the axis that is moved along, such as L+M+S");
    keep_place(axis_node, reading.protocol);
    const auto name = axis_node.text();
    auto axis = space && name ? named_axis(axis_node, *space, *name) : std::nullopt;
    if (!axis)
        return {};
    block.space = *space;
    const bool plain = is_plain_number(*space, *name);
    const bool has_steps = read_steps(node, plain, *axis);
    const YamlNode bracket =
        node.at("bracket", "how far above and below settings start, such as " + example_of_step(plain));
    keep_place(bracket, reading.protocol);
    plan.bracket = read_along(bracket, plain, false).value_or(0.0);
    const YamlNode jitter = node.find("jitter");
    plan.jitter = read_along(jitter, plain, true).value_or(0.0);
    if (plan.bracket > 0.0 && !(plan.jitter < plan.bracket))
        jitter.fault("the jitter is not smaller than the bracket", "make it smaller");
    block.plan = plan;
    return has_steps ? std::vector<AdjustmentAxis>{std::move(*axis)} : std::vector<AdjustmentAxis>{};
}

}  // namespace isoseam
