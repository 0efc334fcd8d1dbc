#include "base/ordered_work.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdint>
#include <memory>
#include <random>
#include <stdexcept>

using namespace isoseam;

TEST_CASE("results come in order, each once, however long each takes") {
    std::mt19937 random(20261126);
    for (const std::size_t count : {0U, 1U, 2U, 7U, 300U}) {
        std::vector<std::uint_fast32_t> pause_us(count);
        for (std::uint_fast32_t& pause : pause_us)
            pause = random() % 300;
        std::vector<std::size_t> used;
        in_order(
            count,
            [&](std::size_t i) {
                std::this_thread::sleep_for(std::chrono::microseconds(pause_us[i]));
                return i;
            },
            [&](std::size_t i) { used.push_back(i); });
        REQUIRE(used.size() == count);
        for (std::size_t i = 0; i < count; ++i)
            REQUIRE(used[i] == i);
    }
}

TEST_CASE("no more results wait than a few for each thread") {
    std::atomic<int> waiting = 0;
    std::atomic<int> most = 0;
    in_order(
        200,
        [&](std::size_t i) {
            const int now = ++waiting;
            for (int seen = most; now > seen && !most.compare_exchange_weak(seen, now);) {
            }
            return i;
        },
        [&](std::size_t i) {
            std::this_thread::sleep_for(std::chrono::microseconds(i < 50 ? 200 : 0));
            --waiting;
        });
    // Those that wait, one at work on each thread, and the one in use.
    const auto threads = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
    CHECK(most <= 5 * threads + 1);
    CHECK(waiting == 0);
}

TEST_CASE("what goes wrong is thrown at its turn, and the work ends") {
    std::vector<std::size_t> used;
    const auto use = [&](std::size_t i) { used.push_back(i); };
    CHECK_THROWS_WITH(in_order(
                          1000,
                          [](std::size_t i) {
                              if (i >= 20)
                                  throw std::runtime_error("number " + std::to_string(i));
                              return i;
                          },
                          use),
                      "number 20");
    CHECK(used.size() == 20);
    std::atomic<int> made = 0;
    CHECK_THROWS_WITH(
        in_order(
            100000, [&](std::size_t) { return ++made; }, [](int) { throw std::runtime_error("no more"); }),
        "no more");
    CHECK(made < 1000);
}

TEST_CASE("results that can only be moved are handed over") {
    int sum = 0;
    in_order(
        10, [](std::size_t i) { return std::make_unique<int>(static_cast<int>(i)); },
        [&](std::unique_ptr<int>&& value) { sum += *value; });
    CHECK(sum == 45);
}
