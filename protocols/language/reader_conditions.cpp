// Conditions: a list, or every combination of some factors.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <numeric>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

constexpr long kMostRepeats = 1000;
constexpr std::size_t kMostConditions = 1000;

using Rings = std::array<LightSpec, 2>;

class ConditionReader {
  public:
    ConditionReader(ProtocolReading& reading, int block, const BlockAxes& axes)
        : reading_(reading), block_(block), axes_(axes) {}

    void read_listed(const YamlNode& node);
    void read_crossed(const YamlNode& node);

  private:
    // A level of a factor: its name, and what it stands for.
    struct FactorLevel {
        std::string name;
        std::string key;
        std::optional<LightSpec> light{};
        std::optional<Rings> rings{};
        std::array<std::string, 2> ring_keys{};
        std::vector<AdjustmentAxis> axes{};
    };
    struct Factor {
        std::string word;  // "reference", "test", "ring" or "along".
        std::vector<FactorLevel> levels;
    };

    std::optional<int> read_repeats(const YamlNode& node) const;
    std::optional<Rings> read_rings(const YamlNode& node, std::array<std::string, 2>& keys) const;
    std::vector<AdjustmentAxis> read_along(const YamlNode& node) const;
    bool task() const;
    void refuse_along(const YamlNode& node) const;
    std::optional<FactorLevel> read_level(const YamlNode& node, const std::string& factor,
                                          std::string name) const;
    Factor read_factor(const YamlNode& node, const std::string& word) const;
    void add(const YamlNode& named_at, Condition condition) const;
    void apply(const FactorLevel& level, const std::string& factor, Condition& condition) const;
    void add_combinations(const YamlNode& node, const std::vector<Factor>& factors, int repeats) const;
    Condition started(std::string name, LightSpec reference, int repeats) const;

    ProtocolReading& reading_;
    int block_;
    const BlockAxes& axes_;
};

bool ConditionReader::task() const {
    const auto& plan = reading_.protocol.block(block_).plan;
    return std::holds_alternative<TaskPlan>(plan);
}

std::optional<int> ConditionReader::read_repeats(const YamlNode& node) const {
    const auto repeats = node.whole_number(1, kMostRepeats);
    if (!repeats)
        return std::nullopt;
    const auto& plan = reading_.protocol.block(block_).plan;
    if (std::holds_alternative<FlickerNullPlan>(plan) && *repeats % 2 != 0) {
        node.fault(fmt::format("{} settings cannot be shared between above and below", *repeats),
                   "write an even number");
        return std::nullopt;
    }
    return static_cast<int>(*repeats);
}

std::optional<Rings> ConditionReader::read_rings(const YamlNode& node,
                                                 std::array<std::string, 2>& keys) const {
    if (!node.exists())
        return std::nullopt;
    if (!reading_.protocol.ring) {
        node.fault("the field has no ring", "give it one: 'ring: {size: 6 deg, light: ...}' under field");
        return std::nullopt;
    }
    if (reading_.protocol.field.parts != FieldParts::halves) {
        node.fault("the field has no halves that rings could differ beside",
                   "give the field its one ring under field");
        return std::nullopt;
    }
    keys = {node.key_path(), node.key_path()};
    if (!node.is_map()) {
        const auto light = reading_.lights.read(node);
        return light ? std::optional(Rings{*light, *light}) : std::nullopt;
    }
    if (!reading_.halves)
        return std::nullopt;
    const HalfNames& halves = *reading_.halves;
    node.only_keys({halves[0], halves[1]});
    const YamlNode first = node.at(halves[0], "the ring's light beside this half");
    const YamlNode second = node.at(halves[1], "the ring's light beside this half");
    keys = {first.key_path(), second.key_path()};
    const auto first_light = reading_.lights.read(first);
    const auto second_light = reading_.lights.read(second);
    return first_light && second_light ? std::optional(Rings{*first_light, *second_light}) : std::nullopt;
}

void ConditionReader::refuse_along(const YamlNode& node) const {
    if (task())
        node.fault("the task says along which directions its levels lie",
                   "write `along` there or in each condition, not both");
    else
        node.fault("an adjustment has axes of its own", "take along away");
}

std::vector<AdjustmentAxis> ConditionReader::read_along(const YamlNode& node) const {
    if (!axes_.in_conditions) {
        if (node.exists())
            refuse_along(node);
        return axes_.axes;
    }
    keep_place(node, reading_.protocol);
    return axes_.space ? read_directions(node, *axes_.space) : std::vector<AdjustmentAxis>{};
}

Condition ConditionReader::started(std::string name, LightSpec reference, int repeats) const {
    Condition condition{std::move(name), std::move(reference), std::nullopt, repeats};
    condition.block = block_;
    condition.axes = axes_.axes;
    condition.keys.along = axes_.key;
    return condition;
}

void ConditionReader::add(const YamlNode& named_at, Condition condition) const {
    std::vector<Condition>& conditions = reading_.protocol.conditions;
    const auto same_name = [&](const Condition& other) { return other.name == condition.name; };
    if (std::any_of(conditions.begin(), conditions.end(), same_name))
        named_at.fault(fmt::format("a second condition named '{}'", condition.name),
                       "give each condition a name of its own");
    conditions.push_back(std::move(condition));
}

void ConditionReader::read_listed(const YamlNode& node) {
    node.only_keys({"name", "reference", "test", "ring", "along", "repeats"});
    const YamlNode name_node = node.at("name", "a name that results are listed under");
    const auto name = read_words(name_node);
    const YamlNode reference = node.at("reference", "the light of the reference half");
    const auto spec = reading_.lights.read(reference);
    const YamlNode test = node.find("test");
    const auto test_spec = reading_.lights.read(test);
    const auto repeats = read_repeats(node.at(
        "repeats", task() ? "how often the task is run, such as 1" : "how often it is matched, such as 5"));
    ConditionKeys keys{reference.key_path(), test.key_path(), {}, axes_.key};
    const auto rings = read_rings(node.find("ring"), keys.rings);
    const YamlNode along =
        axes_.in_conditions
            ? node.at("along", "the direction of its levels, such as L+M+S (or once, in the task)")
            : node.find("along");
    std::vector<AdjustmentAxis> axes = read_along(along);
    if (axes_.in_conditions)
        keys.along = along.key_path();
    // The name is kept even where the rest of the condition is at fault, because a second condition of that
    // name is a fault too.
    if (!name)
        return;
    Condition condition =
        started(*name, spec.value_or(parse_light("black")), static_cast<int>(repeats.value_or(1)));
    condition.test = test_spec;
    condition.rings = rings;
    condition.line = reference.line();
    condition.column = reference.column();
    condition.axes = std::move(axes);
    condition.keys = std::move(keys);
    add(name_node, std::move(condition));
}

std::optional<ConditionReader::FactorLevel> ConditionReader::read_level(const YamlNode& node,
                                                                        const std::string& factor,
                                                                        std::string name) const {
    FactorLevel level{std::move(name), node.key_path()};
    if (factor == "ring") {
        level.rings = read_rings(node, level.ring_keys);
        return level.rings ? std::optional(level) : std::nullopt;
    }
    if (factor == "along") {
        level.axes = read_along(node);
        return level.axes.empty() ? std::nullopt : std::optional(level);
    }
    level.light = reading_.lights.read(node);
    return level.light ? std::optional(level) : std::nullopt;
}

ConditionReader::Factor ConditionReader::read_factor(const YamlNode& node, const std::string& word) const {
    Factor factor{word, {}};
    if (word == "along" && !axes_.in_conditions) {
        refuse_along(node);
        return factor;
    }
    const auto keep = [&](std::optional<FactorLevel> level) {
        if (level)
            factor.levels.push_back(std::move(*level));
    };
    if (node.is_map()) {
        for (const std::string& name : node.keys())
            keep(read_level(node.at(name, "what this level stands for"), word, name));
        return factor;
    }
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && items.empty())
        node.fault("a factor without levels", "list one at least, or take the factor away");
    for (const YamlNode& item : items) {
        if (!item.is_scalar() && item.exists()) {
            item.fault("a level without a name", fmt::format("write a map: '{}: {{NAME: ...}}'", word));
            continue;
        }
        const std::string name = item.text().value_or("");
        const auto same = [&](const FactorLevel& level) { return level.name == name; };
        if (std::any_of(factor.levels.begin(), factor.levels.end(), same))
            item.fault(fmt::format("a second level '{}'", name), "write each level once");
        else
            keep(read_level(item, word, name));
    }
    return factor;
}

void ConditionReader::apply(const FactorLevel& level, const std::string& factor, Condition& condition) const {
    if (factor == "reference") {
        condition.reference = *level.light;
        condition.keys.reference = level.key;
        const Place place = reading_.protocol.places[level.key];
        condition.line = place.line;
        condition.column = place.column;
    } else if (factor == "test") {
        condition.test = level.light;
        condition.keys.test = level.key;
    } else if (factor == "ring") {
        condition.rings = level.rings;
        condition.keys.rings = level.ring_keys;
    } else {
        condition.axes = level.axes;
        condition.keys.along = level.key;
    }
}

// Adds a condition for each combination of the factors' levels. The last factor changes fastest.
void ConditionReader::add_combinations(const YamlNode& node, const std::vector<Factor>& factors,
                                       int repeats) const {
    std::size_t count = 1;
    for (const Factor& factor : factors)
        count *= factor.levels.size();
    const bool one = count == 1;
    for (std::size_t combination = 0; combination < count; ++combination) {
        std::size_t rest = combination;
        std::size_t of_the_rest = count;
        std::vector<std::string> names;
        Condition condition = started("", parse_light("black"), repeats);
        for (const Factor& factor : factors) {
            of_the_rest /= factor.levels.size();
            const FactorLevel& level = factor.levels[rest / of_the_rest];
            rest %= of_the_rest;
            if (factor.levels.size() > 1 || (one && factor.word == "reference"))
                names.push_back(level.name);
            apply(level, factor.word, condition);
        }
        condition.name = fmt::format("{}", fmt::join(names, ", "));
        add(node, std::move(condition));
    }
}

void ConditionReader::read_crossed(const YamlNode& node) {
    node.only_keys({"crossed", "repeats"});
    const YamlNode crossed = node.at("crossed", "the factors, such as {reference: [grey, pinkish]}");
    const auto repeats =
        read_repeats(node.at("repeats", task() ? "how often the task is run with each combination, such as 1"
                                               : "how often each combination is matched, such as 5"));
    crossed.only_keys({"reference", "test", "ring", "along"});
    if (crossed.is_map())
        crossed.at("reference", "the lights of the reference half");
    if (crossed.is_map() && axes_.in_conditions)
        crossed.at("along", "the directions of the levels, such as [L, M, S]");
    std::vector<Factor> factors;
    std::size_t count = 1;
    for (const std::string& word : crossed.keys()) {
        if (word != "reference" && word != "test" && word != "ring" && word != "along")
            continue;
        factors.push_back(read_factor(crossed.find(word), word));
        count = std::min(count * factors.back().levels.size(), kMostConditions + 1);
    }
    const auto is_reference = [](const Factor& factor) { return factor.word == "reference"; };
    if (count > kMostConditions) {
        crossed.fault(fmt::format("more than {} combinations", kMostConditions),
                      "leave levels or a factor out");
    } else if (repeats && count > 0 && std::any_of(factors.begin(), factors.end(), is_reference)) {
        add_combinations(crossed, factors, *repeats);
    }
}

}  // namespace

void read_conditions(const YamlNode& node, ProtocolReading& reading, int block, const BlockAxes& axes) {
    ConditionReader reader(reading, block, axes);
    if (node.is_map()) {
        reader.read_crossed(node);
        return;
    }
    const std::vector<YamlNode> items = node.items();
    if (node.is_sequence() && items.empty())
        node.fault("no condition", "list at least one: {name: ..., reference: ..., repeats: 5}");
    if (items.size() > kMostConditions)
        node.fault(fmt::format("{} conditions", items.size()),
                   fmt::format("list {} at most", kMostConditions));
    for (const YamlNode& item : items)
        reader.read_listed(item);
}

}  // namespace isoseam
