// Blocks: the one whose keys stand at the top of the file, or those of the list `blocks`.

#include <fmt/format.h>

#include <algorithm>

#include "protocols/language/reader_parts.h"

namespace isoseam {
namespace {

const std::vector<std::string> kPlans{"adjustment", "flicker_null", "task"};
const std::vector<std::string> kOrders{"shuffled", "listed", "rounds", "latin_square", "counterbalanced"};

constexpr double kUsualSecondsOfSetting = 20.0;
constexpr double kUsualSecondsOfTrial = 3.0;
constexpr long kMostBetweenRests = 10000;
constexpr std::size_t kMostBlocks = 100;

// The first plan that the block has. Where it has none, the result is 'adjustment', with the fault that this
// key is missing.
std::string plan_of(const YamlNode& node) {
    std::vector<std::string> found;
    for (const std::string& plan : kPlans) {
        if (node.find(plan).exists())
            found.push_back(plan);
    }
    if (found.empty()) {
        node.at("adjustment", "the half that is adjusted, and along which axes (or flicker_null, or task)");
        return "";
    }
    for (std::size_t i = 1; i < found.size(); ++i) {
        node.find(found[i]).fault(
            fmt::format("stands beside {}", found[0]),
            "a block has one of adjustment, flicker_null and task: write more `blocks`");
    }
    return found[0];
}

void read_seconds(const YamlNode& node, Block& block) {
    const bool task = std::holds_alternative<TaskPlan>(block.plan);
    const std::string key = task ? "seconds_per_trial" : "seconds_per_setting";
    const std::string other = task ? "seconds_per_setting" : "seconds_per_trial";
    refuse(node.find(other), task ? "a task has trials" : "an adjustment has settings",
           fmt::format("write {}", key));
    block.seconds_per_trial = read_positive(node.find(key), Dimension::duration_s)
                                  .value_or(task ? kUsualSecondsOfTrial : kUsualSecondsOfSetting);
}

BlockAxes read_plan(const YamlNode& node, const std::string& plan, ProtocolReading& reading, Block& block) {
    BlockAxes axes;
    const YamlNode section = node.find(plan);
    if (plan == "adjustment")
        axes.axes = read_adjustment(section, reading, block);
    else if (plan == "flicker_null")
        axes.axes = read_flicker_null(section, reading, block);
    else if (plan == "task")
        return read_task_directions(section, reading, block);
    axes.space = block.space;
    return axes;
}

void read_block(const YamlNode& node, ProtocolReading& reading, Block block) {
    const int index = static_cast<int>(reading.protocol.blocks.size());
    const std::string plan = plan_of(node);
    const BlockAxes axes = read_plan(node, plan, reading, block);
    block.order = static_cast<TrialOrder>(node.find("order").choice(kOrders).value_or(0));
    block.rest_every =
        static_cast<int>(node.find("rest_every").whole_number(1, kMostBetweenRests).value_or(0));
    if (!plan.empty())
        read_seconds(node, block);
    reading.protocol.blocks.push_back(std::move(block));
    read_conditions(node.at("conditions", "a list of reference lights to match"), reading, index, axes);
    if (plan == "task")
        read_task(node.find(plan), reading, index);
}

void check_name(const YamlNode& node, const std::string& name, const std::vector<Block>& blocks) {
    const auto same = [&](const Block& other) { return other.name == name; };
    if (std::any_of(blocks.begin(), blocks.end(), same))
        node.fault(fmt::format("a second block named '{}'", name), "give each block a name of its own");
}

void read_listed_block(const YamlNode& node, ProtocolReading& reading) {
    node.only_keys({"name", "instructions", "adjustment", "flicker_null", "task", "conditions", "order",
                    "rest_every", "seconds_per_setting", "seconds_per_trial"});
    Block block;
    block.key = node.key_path() + ".";
    const YamlNode name = node.at("name", "a name that results are listed under");
    block.name = read_words(name).value_or("");
    if (!block.name.empty())
        check_name(name, block.name, reading.protocol.blocks);
    block.pages = reading.texts.pages(node.find("instructions"));
    read_block(node, reading, std::move(block));
}

}  // namespace

void read_blocks(const YamlNode& root, ProtocolReading& reading) {
    const YamlNode blocks = root.find("blocks");
    const YamlNode order = root.find("order_of_blocks");
    if (!blocks.exists()) {
        refuse(order, "the protocol has no blocks", "take it away, or write `blocks`");
        read_block(root, reading, Block{});
        return;
    }
    for (const char* key : {"adjustment", "flicker_null", "task", "conditions", "order", "rest_every",
                            "seconds_per_setting", "seconds_per_trial"})
        refuse(root.find(key), "stands beside `blocks`", "move it into the block that it is meant for");
    const std::vector<YamlNode> items = blocks.items();
    if (blocks.is_sequence() && (items.empty() || items.size() > kMostBlocks))
        blocks.fault(fmt::format("{} blocks", items.size()), fmt::format("list 1 to {}", kMostBlocks));
    for (const YamlNode& item : items)
        read_listed_block(item, reading);
    // The order 'rounds' is not among these, because only conditions have rounds.
    const auto chosen = order.choice({"listed", "shuffled", "latin_square", "counterbalanced"});
    constexpr std::array kByWord{TrialOrder::listed, TrialOrder::shuffled, TrialOrder::latin_square,
                                 TrialOrder::counterbalanced};
    reading.protocol.block_order = kByWord[static_cast<std::size_t>(chosen.value_or(0))];
}

}  // namespace isoseam
