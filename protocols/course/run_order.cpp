// Which condition comes when.

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

#include "protocols/course/run_order.h"
#include "protocols/language/protocol.h"

namespace isoseam {
namespace {

// The draws of the first block are the same as those of a protocol without blocks.
RandomStream order_stream(std::uint64_t seed, int block) {
    constexpr std::uint64_t kBlocksApart = 0x9e3779b97f4a7c15U;  // Any odd number with many bits would do.
    return {seed + kBlocksApart * static_cast<std::uint64_t>(block), kStreamTrialOrder};
}

// The row 0, 1, n-1, 2, n-2, ... All differences between its neighbours are different. If n is even, its n
// shifts therefore hold every ordered pair of neighbours once. If n is odd, the shifts and their reversals
// together hold every ordered pair twice (Williams 1949, Australian Journal of Scientific Research A 2, 149;
// from memory).
std::vector<int> zigzag(int count) {
    std::vector<int> order;
    for (int low = 0, high = count - 1, turn = 0; low <= high; ++turn)
        order.push_back(turn == 0 || turn % 2 == 1 ? low++ : high--);
    return order;
}

std::vector<int> balanced_order(int count, std::uint64_t participant) {
    const auto n = static_cast<std::uint64_t>(count);
    const int shift = static_cast<int>((participant - 1) % n);
    std::vector<int> order = zigzag(count);
    for (int& item : order)
        item = (item + shift) % count;
    if (count % 2 == 1 && (participant - 1) / n % 2 == 1)
        std::reverse(order.begin(), order.end());
    return order;
}

std::vector<int> square_order(int count, std::uint64_t participant) {
    std::vector<int> order(static_cast<std::size_t>(count));
    std::iota(order.begin(), order.end(),
              static_cast<int>((participant - 1) % static_cast<std::uint64_t>(count)));
    for (int& item : order)
        item %= count;
    return order;
}

std::uint64_t number_of(const std::string& participant) {
    const std::optional<std::uint64_t> number = participant_number(participant);
    if (!number || *number == 0) {
        throw InputError("--participant", fmt::format("'{}' does not end in a number from 1 on", participant),
                         "this protocol takes its order from the number of the participant: write codes "
                         "such as P01, P02, P03");
    }
    return *number;
}

// The order of things that come one after the other.
std::vector<int> order_of(TrialOrder order, int count, const RandomStream& stream,
                          const std::string& participant) {
    std::vector<int> listed(static_cast<std::size_t>(count));
    std::iota(listed.begin(), listed.end(), 0);
    switch (order) {
        case TrialOrder::shuffled:
            return shuffled_order(stream, count);
        case TrialOrder::latin_square:
            return square_order(count, number_of(participant));
        case TrialOrder::counterbalanced:
            return balanced_order(count, number_of(participant));
        default:
            return listed;
    }
}

// The conditions of a block, each as often as it repeats, in the order of their runs.
std::vector<int> block_order(const Protocol& protocol, int block, std::uint64_t seed,
                             const std::string& participant) {
    std::vector<int> conditions;
    int most_repeats = 0;
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        if (protocol.conditions[i].block != block)
            continue;
        conditions.push_back(static_cast<int>(i));
        most_repeats = std::max(most_repeats, protocol.conditions[i].repeats);
    }
    const auto repeats = [&](int condition) { return protocol.condition(condition).repeats; };
    const TrialOrder order = protocol.block(block).order;
    const RandomStream stream = order_stream(seed, block);
    const int count = static_cast<int>(conditions.size());
    std::vector<int> runs;
    if (order == TrialOrder::rounds) {
        for (int round = 0; round < most_repeats; ++round) {
            const RandomStream of_round{stream.seed ^ RandomStream{seed, kStreamBlockOrder}.bits(
                                                          static_cast<std::uint64_t>(round) + 1),
                                        stream.stream};
            for (const int i : shuffled_order(of_round, count)) {
                if (round < repeats(conditions[static_cast<std::size_t>(i)]))
                    runs.push_back(conditions[static_cast<std::size_t>(i)]);
            }
        }
        return runs;
    }
    const bool as_a_whole = order == TrialOrder::shuffled;
    for (const int i : as_a_whole ? order_of(TrialOrder::listed, count, stream, participant)
                                  : order_of(order, count, stream, participant)) {
        const int condition = conditions[static_cast<std::size_t>(i)];
        runs.insert(runs.end(), static_cast<std::size_t>(repeats(condition)), condition);
    }
    if (!as_a_whole)
        return runs;
    std::vector<int> shuffled;
    for (const int slot : shuffled_order(stream, static_cast<int>(runs.size())))
        shuffled.push_back(runs[static_cast<std::size_t>(slot)]);
    return shuffled;
}

// The settings of one flicker null are one run.
bool repeats_in_one_run(const Block& block) {
    return std::holds_alternative<FlickerNullPlan>(block.plan);
}

bool by_number(TrialOrder order) {
    return order == TrialOrder::latin_square || order == TrialOrder::counterbalanced;
}

}  // namespace

std::optional<std::uint64_t> participant_number(const std::string& participant) {
    constexpr std::size_t kMostDigits = 18;
    const std::size_t from = participant.find_last_not_of("0123456789") + 1;
    const std::string digits = participant.substr(from);
    if (digits.empty() || digits.size() > kMostDigits)
        return std::nullopt;
    return std::stoull(digits);
}

bool depends_on_participant(const Protocol& protocol) {
    return by_number(protocol.block_order) ||
           std::any_of(protocol.blocks.begin(), protocol.blocks.end(),
                       [](const Block& block) { return by_number(block.order); });
}

std::vector<Run> run_order(const Protocol& protocol, std::uint64_t seed, const std::string& participant) {
    std::vector<Run> runs;
    std::vector<int> begun(protocol.conditions.size(), 0);
    const RandomStream stream{seed, kStreamBlockOrder};
    for (const int block :
         order_of(protocol.block_order, static_cast<int>(protocol.blocks.size()), stream, participant)) {
        for (const int condition : block_order(protocol, block, seed, participant)) {
            const int repeat = ++begun[static_cast<std::size_t>(condition)];
            if (repeat > 1 && repeats_in_one_run(protocol.block(block)))
                continue;
            runs.push_back({static_cast<int>(runs.size()) + 1, condition, block, repeat});
        }
    }
    return runs;
}

}  // namespace isoseam
