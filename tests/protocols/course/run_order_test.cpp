// Which condition comes when: every order is a permutation, and keeps its promise over participants.

#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "protocols/course/run_order.h"
#include "protocols/language/protocol.h"
#include "support/error_text.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// A protocol of so many conditions, each with `repeats`, in this order.
Protocol of_conditions(int count, int repeats, TrialOrder order) {
    Protocol protocol = parse_protocol(kExample, "example.yaml");
    const Condition first = protocol.conditions.front();
    protocol.conditions.assign(static_cast<std::size_t>(count), first);
    for (int i = 0; i < count; ++i) {
        protocol.conditions[static_cast<std::size_t>(i)].name = fmt::format("condition {}", i);
        protocol.conditions[static_cast<std::size_t>(i)].repeats = repeats;
    }
    protocol.blocks.front().order = order;
    return protocol;
}

std::vector<int> conditions_of(const Protocol& protocol, std::uint64_t seed, const std::string& participant) {
    std::vector<int> conditions;
    for (const Run& run : run_order(protocol, seed, participant))
        conditions.push_back(run.condition);
    return conditions;
}

}  // namespace

TEST_CASE("every order shows every repeat of every condition once") {
    for (const TrialOrder order : {TrialOrder::shuffled, TrialOrder::listed, TrialOrder::rounds,
                                   TrialOrder::latin_square, TrialOrder::counterbalanced}) {
        const Protocol protocol = of_conditions(5, 3, order);
        const std::vector<Run> runs = run_order(protocol, 9, "P04");
        std::set<std::pair<int, int>> seen;
        for (std::size_t i = 0; i < runs.size(); ++i) {
            CHECK(runs[i].number == static_cast<int>(i) + 1);
            seen.insert({runs[i].condition, runs[i].repeat});
        }
        CHECK(runs.size() == 15);
        CHECK(seen.size() == 15);
        CHECK(conditions_of(protocol, 9, "P04") == conditions_of(protocol, 9, "P04"));
    }
}

TEST_CASE("rounds show each condition once before any comes again, in orders of their own") {
    const Protocol protocol = of_conditions(6, 40, TrialOrder::rounds);
    const std::vector<int> conditions = conditions_of(protocol, 3, "P01");
    std::set<std::vector<int>> orders;
    for (std::size_t round = 0; round < 40; ++round) {
        std::vector<int> order(conditions.begin() + static_cast<std::ptrdiff_t>(6 * round),
                               conditions.begin() + static_cast<std::ptrdiff_t>(6 * round + 6));
        orders.insert(order);
        std::sort(order.begin(), order.end());
        CHECK(order == std::vector<int>{0, 1, 2, 3, 4, 5});
    }
    // 40 of 720 orders: that fewer than 30 differ has a chance below 1e-9.
    CHECK(orders.size() >= 30);
}

// Definition of a Latin square: each condition once in each row and once in each column.
TEST_CASE("over as many participants as there are conditions, each stands once in each place") {
    for (const TrialOrder order : {TrialOrder::latin_square, TrialOrder::counterbalanced}) {
        for (const int count : {1, 2, 3, 4, 5, 6, 7, 10}) {
            const Protocol protocol = of_conditions(count, 1, order);
            for (const int block : {0, 1}) {  // participants 1 to n, and the n after them
                for (int place = 0; place < count; ++place) {
                    std::set<int> here;
                    for (int participant = 1; participant <= count; ++participant)
                        here.insert(conditions_of(
                            protocol, 1,
                            fmt::format("P{:02}",
                                        block * count + participant))[static_cast<std::size_t>(place)]);
                    CHECK(static_cast<int>(here.size()) == count);
                }
            }
        }
    }
}

// Williams 1949 (from memory): n participants balance what follows what if n is even, 2 n if it is odd.
TEST_CASE("counterbalanced orders let each condition follow each other one equally often") {
    for (const int count : {2, 3, 4, 5, 6, 7, 8, 9}) {
        const Protocol protocol = of_conditions(count, 1, TrialOrder::counterbalanced);
        const int participants = count % 2 == 0 ? count : 2 * count;
        std::map<std::pair<int, int>, int> follows;
        for (int participant = 1; participant <= participants; ++participant) {
            const std::vector<int> order = conditions_of(protocol, 1, fmt::format("P{}", participant));
            for (std::size_t i = 1; i < order.size(); ++i)
                ++follows[{order[i - 1], order[i]}];
        }
        CHECK(static_cast<int>(follows.size()) == count * (count - 1));
        for (const auto& [pair, times] : follows)
            CHECK(times == participants / count);
    }
}

TEST_CASE("an order by participant wants a number at the end of the code") {
    const Protocol protocol = of_conditions(4, 1, TrialOrder::latin_square);
    CHECK(depends_on_participant(protocol));
    CHECK_FALSE(depends_on_participant(of_conditions(4, 1, TrialOrder::shuffled)));
    CHECK(participant_number("P07") == 7U);
    CHECK(participant_number("lab-2_013") == 13U);
    CHECK_FALSE(participant_number("P7x").has_value());
    CHECK(input_error_text([&] { run_order(protocol, 1, "anna"); }) ==
          "--participant: 'anna' does not end in a number from 1 on; this protocol takes its order from the "
          "number of the participant: write codes such as P01, P02, P03");
    CHECK(conditions_of(protocol, 1, "P01") != conditions_of(protocol, 1, "P02"));
    CHECK(conditions_of(protocol, 1, "P01") == conditions_of(protocol, 2, "P05"));
}

TEST_CASE("blocks come in their order, each with an order of its own") {
    Protocol protocol = of_conditions(6, 2, TrialOrder::shuffled);
    protocol.blocks.push_back(protocol.blocks.front());
    for (std::size_t i = 3; i < 6; ++i)
        protocol.conditions[i].block = 1;
    const std::vector<Run> runs = run_order(protocol, 5, "P01");
    REQUIRE(runs.size() == 12);
    for (std::size_t i = 0; i < 12; ++i)
        CHECK(runs[i].block == (i < 6 ? 0 : 1));
    std::vector<int> first;
    std::vector<int> second;
    for (std::size_t i = 0; i < 6; ++i) {
        first.push_back(runs[i].condition);
        second.push_back(runs[i + 6].condition - 3);
    }
    CHECK(first != second);
    protocol.block_order = TrialOrder::latin_square;
    CHECK(run_order(protocol, 5, "P02").front().block == 1);
}
