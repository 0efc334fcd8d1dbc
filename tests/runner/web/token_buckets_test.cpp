#include "runner/web/token_buckets.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

constexpr double kNanoseconds = 1e-6;  // times are whole nanoseconds

WebTime at(double seconds) {
    return WebTime{} + std::chrono::duration_cast<WebTime::duration>(std::chrono::duration<double>(seconds));
}

}  // namespace

TEST_CASE("a bucket lets through so many at once and so many a second", "[buckets]") {
    TokenBuckets buckets({2.0, 5.0});
    for (int i = 0; i < 5; ++i) {
        REQUIRE(buckets.wait_s("a", at(0.0)) == 0.0);
        buckets.take("a", at(0.0));
    }
    CHECK(buckets.wait_s("a", at(0.0)) == Approx(0.5).epsilon(kNanoseconds));
    CHECK(buckets.wait_s("a", at(0.25)) == Approx(0.25).epsilon(kNanoseconds));
    CHECK(buckets.wait_s("b", at(0.0)) == 0.0);
    // Over ten seconds that ask all the time, no more than the rate.
    int let_through = 0;
    for (int step = 0; step <= 10'000; ++step) {
        const WebTime now = at(0.001 * step);
        if (buckets.wait_s("a", now) == 0.0) {
            buckets.take("a", now);
            ++let_through;
        }
    }
    CHECK(let_through == 20);
    // A long rest does not save up more than the bucket holds.
    int at_once = 0;
    while (buckets.wait_s("a", at(1000.0)) == 0.0) {
        buckets.take("a", at(1000.0));
        ++at_once;
    }
    CHECK(at_once == 5);
}

TEST_CASE("full buckets are forgotten, others are not", "[buckets]") {
    TokenBuckets buckets({1.0, 2.0});
    buckets.take("a", at(0.0));
    buckets.take("b", at(0.0));
    buckets.take("b", at(0.0));
    buckets.forget_full(at(1.5));
    CHECK(buckets.size() == 1);
    CHECK(buckets.wait_s("b", at(1.5)) == 0.0);
    buckets.forget_full(at(2.0));
    CHECK(buckets.size() == 0);
    // A clock that steps back makes no tokens.
    buckets.take("a", at(10.0));
    buckets.take("a", at(5.0));
    CHECK(buckets.wait_s("a", at(5.0)) > 0.0);
}
