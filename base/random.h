#pragma once
// Counter-based random numbers. A draw is a pure function of (seed, stream, index), so that a session can be
// resumed, replayed and rehearsed and gives the same trials on any number of threads.
//
// The generator is Philox4x32 with 10 rounds (Salmon, Moraes, Dror & Shaw 2011, "Parallel random numbers: as
// easy as 1, 2, 3").
//
//     const double share = RandomStream{seed, kStreamStartingPoints}.uniform(trial);    // in [0, 1)

#include <array>
#include <cstdint>
#include <vector>

namespace isoseam {

// The generator itself. Tests hold it to the known answers of its publication.
std::array<std::uint32_t, 4> philox4x32_10(std::array<std::uint32_t, 4> counter,
                                           std::array<std::uint32_t, 2> key);

struct RandomStream {
    std::uint64_t seed = 0;
    std::uint32_t stream = 0;  // what the draws are for: see the constants below

    std::uint64_t bits(std::uint64_t index) const;
    double uniform(std::uint64_t index) const;  // in [0, 1), 53 bits
    double normal(std::uint64_t index) const;   // mean 0, SD 1 (Box-Muller)
    // One of 0 .. bound - 1, each as likely as the others. ISOSEAM_CHECK: bound >= 1.
    std::uint64_t below(std::uint64_t index, std::uint64_t bound) const;
};

// A permutation of 0 .. count-1 that depends on the stream alone (Fisher-Yates).
std::vector<int> shuffled_order(const RandomStream& stream, int count);

// Streams in use. A new purpose gets a new number; a number is never used again for something else.
inline constexpr std::uint32_t kStreamTrialOrder = 1;
inline constexpr std::uint32_t kStreamStartingPoints = 2;
inline constexpr std::uint32_t kStreamSimulatedEye = 3;
inline constexpr std::uint32_t kStreamSimulatedSetting = 4;
inline constexpr std::uint32_t kStreamSimulatedReaction = 5;
inline constexpr std::uint32_t kStreamOddQuadrant = 6;
inline constexpr std::uint32_t kStreamSimulatedAnswer = 7;
inline constexpr std::uint32_t kStreamBlockOrder = 8;
inline constexpr std::uint32_t kStreamInterleaving = 9;
inline constexpr std::uint32_t kStreamSimulatedInstrument = 40;
inline constexpr std::uint32_t kStreamMeasuringPlan = 41;
inline constexpr std::uint32_t kStreamScreenFit = 50;
inline constexpr std::uint32_t kStreamProcedureRun = 80;  // seeds of a session's runs of a procedure
inline constexpr std::uint32_t kStreamTrackOrder = 81;
inline constexpr std::uint32_t kStreamLevelOrder = 82;
inline constexpr std::uint32_t kStreamCatchTrials = 83;
inline constexpr std::uint32_t kStreamTargetPlace = 84;
inline constexpr std::uint32_t kStreamSamePairs = 85;
inline constexpr std::uint32_t kStreamFirstSide = 86;
inline constexpr std::uint32_t kStreamStartJitter = 87;
inline constexpr std::uint32_t kStreamBootstrap = 90;
inline constexpr std::uint32_t kStreamDither = 60;
inline constexpr std::uint32_t kStreamBlueNoise = 61;

}  // namespace isoseam
