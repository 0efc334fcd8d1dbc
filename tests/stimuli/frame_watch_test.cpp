#include "stimuli/frame_watch.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/errors.h"
#include "base/random.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

constexpr std::uint32_t kStreamScreens = 2001;
constexpr std::uint32_t kStreamJitter = 2002;
constexpr std::uint32_t kStreamStalls = 2003;

// A screen that shows what it has at each refresh, and a program that stalls now and then.
struct SimulatedRun {
    std::vector<FrameStamp> stamps;
    std::vector<std::int64_t> dropped;  // the truth: refreshes without their frame before each frame
    FrameCounts counts;
};

struct Screen {
    double period_s = 1.0 / 60.0;
    double jitter_s = 0.0005;   // standard deviation of a stamp, cut off at four of them
    double stall_share = 0.02;  // of frames that come after a stall of up to five periods
    bool counts_refreshes = false;
};

double jitter(const RandomStream& random, std::uint64_t k, double sd) {
    return sd * std::clamp(random.normal(k), -4.0, 4.0);
}

SimulatedRun simulated(const Screen& screen, int frames, std::uint64_t seed) {
    const RandomStream noise{seed, kStreamJitter};
    const RandomStream stalls{seed, kStreamStalls};
    const double start_s = 1000.0 + stalls.uniform(1'000'000);
    SimulatedRun run;
    std::int64_t refresh = 0;
    for (int k = 0; k < frames; ++k) {
        const auto draw = static_cast<std::uint64_t>(k);
        std::int64_t passed = 0;
        if (k > 0 && stalls.uniform(2 * draw) < screen.stall_share)
            passed = 1 + static_cast<std::int64_t>(5.0 * stalls.uniform(2 * draw + 1));
        refresh += k > 0 ? 1 + passed : 0;
        FrameStamp stamp{
            start_s + static_cast<double>(refresh) * screen.period_s + jitter(noise, draw, screen.jitter_s),
            std::nullopt};
        if (screen.counts_refreshes)
            stamp.refresh_number = 77'000'000'000 + refresh;
        run.stamps.push_back(stamp);
        run.dropped.push_back(passed);
        ++run.counts.shown;
        run.counts.late += passed > 0 ? 1 : 0;
        run.counts.dropped += passed;
    }
    return run;
}

// Frames whose finding is not the truth.
int wrong(const SimulatedRun& run, FrameWatch& watch) {
    int count = 0;
    for (std::size_t k = 0; k < run.stamps.size(); ++k) {
        const FrameWatch::Finding finding = watch.frame(run.stamps[k]);
        count += finding.dropped != run.dropped[k] || finding.late != (run.dropped[k] > 0) ? 1 : 0;
    }
    return count;
}

MeasuredBeat beat_of(const Screen& screen, std::uint64_t seed) {
    const std::optional<MeasuredBeat> beat = measure_beat(simulated(screen, 60, seed).stamps);
    REQUIRE(beat);
    return *beat;
}

}  // namespace

TEST_CASE("over a hundred screens of 50 to 240 Hz every injected late frame is found, and none invented") {
    const RandomStream random{20261125, kStreamScreens};
    for (std::uint64_t i = 0; i < 100; ++i) {
        Screen screen;
        screen.period_s = 1.0 / (50.0 + 190.0 * random.uniform(3 * i));
        // At four standard deviations a stamp is 24 % of a period off: still nearer to its own refresh.
        screen.jitter_s = 0.06 * random.uniform(3 * i + 1) * screen.period_s;
        screen.counts_refreshes = i % 2 == 1;
        const MeasuredBeat beat = beat_of(screen, 1000 + i);
        FrameWatch watch(beat.period_s);
        const SimulatedRun run = simulated(screen, 6000, i);
        CAPTURE(i, screen.period_s, screen.jitter_s, beat.period_s);
        CHECK(wrong(run, watch) == 0);
        CHECK(watch.counts() == run.counts);
        CHECK(run.counts.late > 60);
    }
}

TEST_CASE("an hour with a period that is told wrongly by a thousandth does not lead the watch astray") {
    const Screen screen{1.0 / 59.94, 0.0005, 0.001, false};
    const SimulatedRun run = simulated(screen, 60 * 3600, 5);
    FrameWatch watch(1.0 / 60.0);
    CHECK(wrong(run, watch) == 0);
}

TEST_CASE("with the driver's count of refreshes no stamp can mislead") {
    Screen screen;
    screen.counts_refreshes = true;
    screen.jitter_s = 0.02;  // more than a period
    const SimulatedRun run = simulated(screen, 3000, 6);
    FrameWatch watch(screen.period_s);
    CHECK(wrong(run, watch) == 0);
}

TEST_CASE("a frame is late from half a period after its due time on") {
    const auto late_after = [](double share) {
        FrameWatch watch(0.01, FrameWatch::Beat::kept, 5.0);
        watch.frame({5.0, std::nullopt});
        return watch.frame({5.01 + share * 0.01, std::nullopt});
    };
    CHECK_FALSE(late_after(0.49).late);
    CHECK(late_after(0.51).late);
    CHECK(late_after(0.51).dropped == 1);
    CHECK(late_after(1.49).dropped == 1);
    CHECK(late_after(1.51).dropped == 2);
    CHECK(late_after(0.3).after_due_s == Approx(0.003).epsilon(test::kFiveDigits));
    CHECK_FALSE(late_after(-0.4).late);
    FrameWatch watch(0.01, FrameWatch::Beat::kept, 5.0);
    CHECK(watch.frame({5.006, std::nullopt}).late);  // the first, where it has a due time
    FrameWatch free(0.01);
    CHECK_FALSE(free.next_due_s());
    CHECK_FALSE(free.frame({7.0, std::nullopt}).late);
    CHECK(*free.next_due_s() == Approx(7.01).epsilon(test::kFiveDigits));
}

TEST_CASE("a stamp that was noted late does not make the frames after it early for long") {
    FrameWatch watch(0.01);
    for (int k = 0; k < 100; ++k)
        watch.frame({k * 0.01 + (k == 50 ? 0.012 : 0.0), std::nullopt});
    CHECK(watch.counts() == FrameCounts{100, 1, 1});
    CHECK(*watch.next_due_s() == Approx(1.0).margin(1e-4));
}

TEST_CASE("the beat is measured from an opening run, stalls or not") {
    for (std::uint64_t seed = 0; seed < 50; ++seed) {
        Screen screen;
        screen.period_s = 1.0 / 144.0;
        screen.jitter_s = 0.0002;
        screen.stall_share = 0.05;
        screen.counts_refreshes = seed % 2 == 0;
        const MeasuredBeat beat = beat_of(screen, seed);
        // Standard error of the slope over 60 frames: jitter x sqrt(12 / 60^3) = 1.5 us; six of them.
        CHECK(std::abs(beat.period_s - screen.period_s) < 9e-6);
        CHECK(beat.spread_s > 0.0001);
        CHECK(beat.spread_s < 0.0003);
        CHECK(beat.frames == 60);
    }
    CHECK_FALSE(measure_beat({}));
    CHECK_FALSE(measure_beat(simulated({}, 7, 1).stamps));
    std::vector<FrameStamp> backwards = simulated({}, 20, 1).stamps;
    std::swap(backwards[3], backwards[4]);
    CHECK_FALSE(measure_beat(backwards));
    backwards[3].time_s = std::nan("");
    CHECK_FALSE(measure_beat(backwards));
}

TEST_CASE("counts of refreshes that stand still or run by themselves are not used") {
    Screen screen;
    screen.counts_refreshes = true;
    screen.stall_share = 0.0;
    std::vector<FrameStamp> stamps = simulated(screen, 20, 1).stamps;
    CHECK(refresh_numbers_work(stamps));
    std::vector<FrameStamp> still = stamps;
    for (FrameStamp& stamp : still)
        stamp.refresh_number = 5;
    CHECK_FALSE(refresh_numbers_work(still));
    std::vector<FrameStamp> running = stamps;
    for (std::size_t i = 0; i < running.size(); ++i)
        running[i].refresh_number = static_cast<std::int64_t>(3 * i);
    CHECK_FALSE(refresh_numbers_work(running));
    stamps[4].refresh_number.reset();
    CHECK_FALSE(refresh_numbers_work(stamps));
}

TEST_CASE("frames that do not wait for the screen are found out, and why is said") {
    CHECK(judge_synchronisation({1.0 / 60.0, 0.0005, 60}, 60.0).synchronised);
    CHECK(judge_synchronisation({1.0 / 59.94, 0.0005, 60}, 60.0).synchronised);
    CHECK(judge_synchronisation({1.0 / 59.94, 0.0005, 60}, 59.0).synchronised);
    const auto why_not = [](const MeasuredBeat& beat, double refresh_hz) {
        const Synchronisation judged = judge_synchronisation(beat, refresh_hz);
        CHECK_FALSE(judged.synchronised);
        return judged.why_not;
    };
    CHECK(why_not({0.001, 0.0001, 60}, 60.0) ==
          "frames follow at 1000 Hz, but the screen refreshes at 60 Hz");
    CHECK(why_not({1.0 / 75.0, 0.0001, 60}, 60.0) ==
          "frames follow at 75 Hz, but the screen refreshes at 60 Hz");
    CHECK_THAT(why_not({1.0 / 60.0, 0.003, 60}, 60.0),
               Catch::Contains("unevenly") && Catch::Contains("3 ms"));
    CHECK_FALSE(judge_synchronisation({1.0 / 60.0, 0.0005, 60}, 0.0).synchronised);  // not known
    CHECK_FALSE(judge_synchronisation({std::nan(""), 0.0, 60}, 60.0).synchronised);
    CHECK_FALSE(judge_synchronisation({1.0 / 60.0, std::nan(""), 60}, 60.0).synchronised);
}

TEST_CASE("where the program keeps the beat, an hour of stalls loses no beat and invents no late frame") {
    constexpr double kPeriod = 1.0 / 60.0;
    const RandomStream noise{9, kStreamJitter};
    const RandomStream stalls{9, kStreamStalls};
    FrameWatch watch(kPeriod, FrameWatch::Beat::kept, 100.0);
    double now_s = 100.0;
    FrameCounts truth;
    int wrong_frames = 0;
    for (std::uint64_t k = 0; k < 216'000; ++k) {
        now_s += 0.001;  // drawing
        const double due_s = *watch.next_due_s();
        const double stall_s = stalls.uniform(2 * k) < 0.01 ? 4.0 * kPeriod * stalls.uniform(2 * k + 1) : 0.0;
        now_s = paced_show_s(due_s, kPeriod, now_s) + stall_s + std::abs(jitter(noise, k, 0.0002));
        const double after = (now_s - due_s) / kPeriod;
        const FrameWatch::Finding finding = watch.frame({now_s, std::nullopt});
        wrong_frames += finding.late != (after > 0.5) ? 1 : 0;
        ++truth.shown;
        truth.late += after > 0.5 ? 1 : 0;
        truth.dropped += after > 0.5 ? std::llround(after) : 0;
    }
    CHECK(wrong_frames == 0);
    CHECK(watch.counts() == truth);
    // The beat has not moved: shown and dropped frames fill it.
    const auto beats = static_cast<double>(truth.shown + truth.dropped);
    CHECK(*watch.next_due_s() == Approx(100.0 + beats * kPeriod).margin(1e-6));
    CHECK(truth.late > 1000);
}

TEST_CASE("a paced frame waits for its beat, comes at once when a little late, and else at the next beat") {
    CHECK(paced_show_s(5.0, 0.01, 4.99) == 5.0);
    CHECK(paced_show_s(5.0, 0.01, 5.004) == 5.004);
    CHECK(paced_show_s(5.0, 0.01, 5.006) == Approx(5.01).epsilon(test::kRoundingOfDoubles));
    CHECK(paced_show_s(5.0, 0.01, 5.013) == Approx(5.013).epsilon(test::kRoundingOfDoubles));
    CHECK(paced_show_s(5.0, 0.01, 5.017) == Approx(5.02).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("a watch without a period is a programmer's fault") {
    CHECK_THROWS_AS(FrameWatch(0.0), std::logic_error);
    CHECK_THROWS_AS(FrameWatch(std::nan("")), std::logic_error);
}
