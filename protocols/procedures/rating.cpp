#include "protocols/procedures/rating.h"

#include <fmt/format.h>

namespace isoseam {

std::vector<Fault> faults(const Rating& question) {
    SpecFaults found;
    found.require(question.categories >= 2 && question.categories <= kMostCategories, "categories",
                  fmt::format("{} categories", question.categories),
                  fmt::format("write 2 to {}", kMostCategories));
    if (question.seen_from)
        found.require(*question.seen_from >= 2 && *question.seen_from <= question.categories, "seen_from",
                      fmt::format("seen from category {} of {}", *question.seen_from, question.categories),
                      "write a category above the first");
    return found.all();
}

Pose pose(const Rating& question, std::uint64_t, int) {
    Pose made;
    made.form = AnswerForm::rating;
    made.categories = question.categories;
    return made;
}

Verdict judge(const Rating& question, const TrialRequest& request, const TrialResponse& response) {
    ISOSEAM_CHECK(response.kind == TrialResponse::Kind::rating, to_string(response.kind));
    ISOSEAM_CHECK_BETWEEN(response.value, 1, question.categories);
    if (!question.seen_from)
        return {};
    const bool seen = response.value >= *question.seen_from;
    if (!request.target)
        return {!seen, std::nullopt};
    return {seen, seen};
}

}  // namespace isoseam
