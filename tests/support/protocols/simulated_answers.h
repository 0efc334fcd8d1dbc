#pragma once
// Observers for the tests of procedures: the answer to trial i succeeds when draw i of a stream falls below a
// probability.

#include <cstdint>
#include <vector>

#include "base/random.h"
#include "protocols/procedures/trial.h"

namespace isoseam::test {

// Of the tests' own draws, apart from those of the program.
inline constexpr std::uint32_t kStreamTestAnswers = 901;

struct SimulatedAnswers {
    std::uint64_t seed = 1;
    std::uint64_t given = 0;

    bool succeed(double probability) {
        return RandomStream{seed, kStreamTestAnswers}.uniform(given++) < probability;
    }
};

// Any answer that fits the request, drawn evenly; in an adjustment one answer in eight accepts.
inline TrialResponse any_answer(const TrialRequest& request, std::uint64_t seed, std::uint64_t index) {
    const RandomStream random{seed, kStreamTestAnswers};
    TrialResponse response;
    const auto drawn = [&](int count) {
        return static_cast<int>(random.below(2 * index, static_cast<std::uint64_t>(count)));
    };
    switch (request.form) {
        case AnswerForm::yes_no:
            response.kind = drawn(2) == 0 ? TrialResponse::Kind::no : TrialResponse::Kind::yes;
            break;
        case AnswerForm::same_different:
            response.kind = drawn(2) == 0 ? TrialResponse::Kind::same : TrialResponse::Kind::different;
            break;
        case AnswerForm::place:
            response.kind = TrialResponse::Kind::place;
            response.value = drawn(request.places);
            break;
        case AnswerForm::rating:
            response.kind = TrialResponse::Kind::rating;
            response.value = 1 + drawn(request.categories);
            break;
        case AnswerForm::adjustment:
            response.kind = drawn(8) == 0 ? TrialResponse::Kind::accept : TrialResponse::Kind::step;
            response.value = random.below(2 * index + 1, 2) == 0 ? 1 : -1;
            response.coarse = drawn(8) > 4;
            break;
    }
    return response;
}

}  // namespace isoseam::test
