#include "runner/session/answer_trial.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <utility>

#include "runner/session/trial_lights.h"
#include "runner/session/trial_records.h"

namespace isoseam {
namespace {

constexpr double kFeedbackSeconds = 0.7;

// How much of the target shows in a frame of an interval: it rises and falls as half a period of a raised
// cosine.
double target_share(std::int64_t frame, std::int64_t frames, std::int64_t onset_frames) {
    const std::int64_t from_edge = std::min(frame, frames - 1 - frame);
    if (frame < 0 || frame >= frames || from_edge < 0)
        return 0.0;
    if (from_edge >= onset_frames)
        return 1.0;
    constexpr double kPi = 3.14159265358979323846;
    return 0.5 -
           0.5 * std::cos(kPi * (static_cast<double>(from_edge) + 0.5) / static_cast<double>(onset_frames));
}

class AnswerTrial {
  public:
    AnswerTrial(SessionContext& context, Course& course)
        : context_(context),
          setup_(context.setup()),
          field_(context.protocol().field),
          course_(course),
          trial_(*course.next()),
          plan_(std::get<TaskPlan>(setup_.block_of(trial_.condition).plan)),
          problem_(course.adjustment()),
          lights_(lights_of(context, trial_.condition)),
          shown_(light_at(problem_, trial_.request.level)),
          none_(light_at(problem_, Level(trial_.request.level.size(), 0.0))) {
        hz_ = setup_.solver(setup_.field_source()).display().calibration().refresh_hz;
        if (lights_.flicker && timed())
            lights_.flicker->end_frame =
                std::min(lights_.flicker->end_frame.value_or(shown_frames()), shown_frames());
    }

    std::optional<EndedTrial> run() {
        context_.begin_trial();
        Action action = present_and_wait();
        while (!std::holds_alternative<Answered>(action)) {
            if (!context_.pause(action))
                return std::nullopt;
            context_.begin_trial();
            progress_ = {};
            action = present_and_wait();
        }
        const double duration_s = context_.station().now_s() - target_from_s_;
        const std::optional<EndedTrial> ended = course_.respond(std::get<Answered>(action).response);
        record(*ended->answer, duration_s);
        if (!give_feedback(*ended->answer))
            return std::nullopt;
        return ended;
    }

  private:
    bool intervals() const { return trial_.request.places == 2 && field_.parts == FieldParts::spot; }
    bool timed() const { return plan_.shown_s > 0.0; }
    std::int64_t frames_of(double seconds) const { return std::llround(seconds * hz_); }
    std::int64_t shown_frames() const { return std::max<std::int64_t>(1, frames_of(plan_.shown_s)); }

    LinearDrive mixed(double share, const LinearDrive& without) const {
        return {without.fractions + share * (shown_.fractions - without.fractions)};
    }

    // Whether a place, or an interval, has the light at the trial's level. A catch trial shows in all of them
    // what the spec calls no target.
    bool has_light(int place) const {
        return !trial_.request.target || place == trial_.request.target_place.value_or(0);
    }

    // The field while `share` of the light at the trial's level shows in its place. Of two intervals it is
    // the field in `interval`.
    FieldLights field_with(double share, int interval = 0) const {
        const auto beside_reference = [&](bool here) { return mixed(here ? share : 0.0, lights_.reference); };
        const bool in_place = trial_.request.form == AnswerForm::place;
        if (field_.parts == FieldParts::spot) {
            const LinearDrive spot = beside_reference(!intervals() || has_light(interval));
            return {.halves = {spot, spot}, .rings = lights_.rings};
        }
        if (in_place && field_.parts == FieldParts::halves)
            return {.halves = {beside_reference(has_light(0)), beside_reference(has_light(1))},
                    .rings = lights_.rings};
        // Quadrants stand on one source, whose own reference is the light beside the target.
        const bool one_source = setup_.source_count() == 1;
        FieldLights lights = lights_.field(setup_, mixed(share, one_source ? lights_.reference : none_));
        lights.odd_quadrant = trial_.request.target_place.value_or(0) % kQuadrants;
        return lights;
    }

    Comparison comparison() const {
        Comparison compared;
        compared.reference = lights_.reference;
        compared.reference_source = setup_.source_of(setup_.reference_half());
        const int places = trial_.request.form == AnswerForm::place ? trial_.request.places : 1;
        for (int place = 0; place < places; ++place) {
            const bool here = has_light(place);
            compared.places.push_back(here ? shown_ : lights_.reference);
            compared.source.push_back(here ? setup_.source_of(setup_.protocol().adjusted)
                                           : compared.reference_source);
        }
        return compared;
    }

    // Returns an answer, or the action that stops the trial.
    Action present_and_wait() {
        Station& station = context_.station();
        station.expect(ExpectNothing{});
        const bool in_frames = timed() && !lights_.flicker && station.shows_frames();
        const Action before = in_frames ? lead_in_frames() : lead_in();
        if (stops(before))
            return before;
        ExpectAnswer expected = expected_answer(trial_.request, field_);
        expected.comparison = comparison();
        station.expect(expected);
        if (lights_.flicker)
            return answer_to(lights_.in_turns(setup_, shown_));
        if (in_frames)
            return answer_to(last_frames());
        target_from_s_ = station.show_field(field_with(1.0));
        return wait_for_answer();
    }

    // Shows the empty field before the target, without counting frames.
    Action lead_in() {
        static_cast<void>(context_.station().show_field(field_with(0.0)));
        return context_.pass(plan_.wait_s);
    }

    // Counts the frames of the empty field. With two intervals they include the first interval and the pause
    // after it.
    std::int64_t lead_in_count() const {
        return frames_of(plan_.wait_s) + (intervals() ? shown_frames() + frames_of(plan_.between_s) : 0);
    }

    FieldLights lights_of_frame(std::int64_t frame) const {
        const std::int64_t onset = frames_of(plan_.onset_s);
        const std::int64_t waited = frames_of(plan_.wait_s);
        const std::int64_t last_from = lead_in_count();
        const bool is_first = intervals() && frame < last_from;
        const std::int64_t from = is_first ? waited : last_from;
        FieldLights lights = field_with(target_share(frame - from, shown_frames(), onset), is_first ? 0 : 1);
        lights.mark_hidden = intervals() && frame >= from && frame < from + shown_frames();
        return lights;
    }

    Presentation frames_until(std::int64_t end) const {
        return {[this](std::int64_t frame) { return lights_of_frame(frame); }, field_with(1.0), end};
    }

    Action lead_in_frames() {
        if (lead_in_count() == 0)
            return {};
        context_.station().sound(Sound::interval);
        return context_.station().show_presentation(frames_until(lead_in_count()), progress_);
    }

    // After the target's frames comes one frame without the target.
    Presentation last_frames() const { return frames_until(lead_in_count() + shown_frames() + 1); }

    Action answer_to(const Presentation& presentation) {
        Station& station = context_.station();
        if (intervals())
            station.sound(Sound::interval);
        // Frames are counted anew, so that the time of the first frame is that of the target.
        const FrameCounts led_in = std::exchange(progress_.frames, {});
        Action action;
        while (!std::holds_alternative<Answered>(action) &&
               !std::holds_alternative<PresentationEnded>(action) && !stops(action))
            action = station.show_presentation(presentation, progress_);
        target_from_s_ = progress_.first_frame_s;
        progress_.frames.shown += led_in.shown;
        progress_.frames.late += led_in.late;
        progress_.frames.dropped += led_in.dropped;
        if (!std::holds_alternative<PresentationEnded>(action))
            return action;
        static_cast<void>(station.show_field(field_with(0.0)));
        return wait_for_answer();
    }

    Action wait_for_answer() {
        for (;;) {
            const Action action = context_.station().wait(kWaitSeconds);
            if (std::holds_alternative<Answered>(action) || stops(action))
                return action;
        }
    }

    void record(const AnsweredTrial& answered, double duration_s) {
        AnswerRecord record =
            answer_record(setup_, context_.station(), trial_, problem_, answered, shown_, lights_.reference);
        record.duration_s = duration_s;
        record.frames = frames_record(progress_.frames);
        record.ignored_presses = context_.take_ignored_presses();
        context_.record("answer", to_json(record));
    }

    // Returns false when the participant leaves.
    bool give_feedback(const AnsweredTrial& answered) {
        if (!answered.request.feedback || !answered.verdict.right)
            return true;
        const bool right = *answered.verdict.right;
        context_.station().sound(right ? Sound::right : Sound::wrong);
        const Action action =
            context_.show_for({context_.phrase(right ? "right" : "wrong"), {}, ""}, kFeedbackSeconds);
        return !stops(action) || context_.pause(action);
    }

    SessionContext& context_;
    const Setup& setup_;
    const FieldGeometry& field_;
    Course& course_;
    const CourseTrial trial_;
    const TaskPlan& plan_;
    const AdjustmentProblem& problem_;
    TrialLights lights_;
    const LinearDrive shown_;  // the light at the trial's level
    const LinearDrive none_;   // the light of the predicted match
    double hz_ = 0.0;
    double target_from_s_ = 0.0;
    PresentationProgress progress_;
};

}  // namespace

ExpectAnswer expected_answer(const TrialRequest& request, const FieldGeometry& field) {
    ExpectAnswer expected{.form = request.form, .categories = request.categories};
    if (request.form == AnswerForm::place)
        expected.places = place_names(field);
    return expected;
}

std::optional<EndedTrial> run_answer_trial(SessionContext& context, Course& course) {
    return AnswerTrial(context, course).run();
}

}  // namespace isoseam
