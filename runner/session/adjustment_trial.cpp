#include "runner/session/adjustment_trial.h"

#include <nlohmann/json.hpp>

#include "runner/session/trial_lights.h"
#include "runner/session/trial_records.h"
#include "runner/station/shown_records.h"

namespace isoseam {
namespace {

// One trial under way.
class Adjustment {
  public:
    Adjustment(SessionContext& context, Course& course)
        : context_(context),
          course_(course),
          trial_(*course.next()),
          problem_(course.adjustment()),
          lights_(lights_of(context, trial_.condition)),
          expected_{.axes = static_cast<int>(problem_.axes.size()), .problem = &problem_} {
        if (context.protocol().field.parts == FieldParts::quadrants) {
            odd_quadrant_ = static_cast<int>(static_cast<double>(kQuadrants) *
                                             RandomStream{context.seed(), kStreamOddQuadrant}.uniform(
                                                 static_cast<std::uint64_t>(trial_.number)));
        }
    }

    std::optional<EndedTrial> run() {
        record_start();
        context_.begin_trial();
        context_.station().expect(expected_);
        std::optional<EndedTrial> ended;
        bool changed = true;
        while (!ended) {
            const Action action = look(changed);
            changed = false;
            if (stops(action)) {
                if (!context_.pause(action))
                    return std::nullopt;
                begin_anew();
                changed = true;
            } else if (std::holds_alternative<PresentationEnded>(action)) {
                if (!rest_from_flicker())
                    return std::nullopt;
            } else if (const auto response = response_to(action)) {
                ended = course_.respond(*response);
                changed = true;
            }
        }
        record_end(*ended->setting);
        return ended;
    }

  private:
    LinearDrive adjusted() const { return light_at(problem_, course_.next()->request.level); }

    FieldLights field() const {
        FieldLights field = lights_.field(context_.setup(), adjusted());
        field.odd_quadrant = odd_quadrant_;
        return field;
    }

    // Returns frames that go on while the observer looks: flicker, or new dither in every frame.
    Presentation frames() const {
        if (lights_.flicker)
            return lights_.in_turns(context_.setup(), adjusted());
        const FieldLights still = field();
        return {[still](std::int64_t) { return still; }, still, std::nullopt};
    }

    bool in_frames() const {
        return lights_.flicker ||
               context_.station().depth(context_.setup().field_source()).dither == DitherKind::noise;
    }

    // Shows the lights until the observer acts, for some time at most.
    Action look(bool changed) {
        if (in_frames())
            return context_.station().show_presentation(frames(), progress_);
        if (changed) {
            const double shown_s = context_.station().show_field(field());
            if (progress_.next_frame++ == 0)
                progress_.first_frame_s = shown_s;
        }
        return context_.station().wait(kWaitSeconds);
    }

    // After an interruption flicker begins again with its soft onset.
    void begin_anew() {
        context_.station().expect(expected_);
        progress_.pause();
        if (progress_.frames.shown > 0)
            progress_.next_frame = 0;
    }

    // Flicker ends by itself after its longest time, and then the participant rests. Returns false when the
    // participant leaves.
    bool rest_from_flicker() {
        const double from_s = context_.station().now_s();
        const double paused_s = context_.paused_s();
        const bool goes_on = context_.show_until_accepted(
            context_.page("short_break_heading", "short_break_text", "short_break_foot"));
        // A pause within the break has been subtracted already.
        context_.not_counted(context_.station().now_s() - from_s - (context_.paused_s() - paused_s));
        begin_anew();
        context_.station().forget_presses();
        return goes_on;
    }

    double elapsed_s() const {
        return context_.station().now_s() - progress_.first_frame_s - context_.paused_s();
    }

    std::optional<TrialResponse> response_to(const Action& action) const {
        TrialResponse response;
        response.elapsed_s = std::max(0.0, elapsed_s());
        if (std::holds_alternative<Accepted>(action)) {
            response.kind = TrialResponse::Kind::accept;
        } else if (const auto* const step = std::get_if<StepTaken>(&action);
                   step != nullptr && step->axis < expected_.axes) {
            response.kind = TrialResponse::Kind::step;
            response.value = step->direction;
            response.axis = step->axis;
            response.coarse = step->coarse;
        } else if (std::holds_alternative<NoAction>(action)) {
            response.kind = TrialResponse::Kind::waiting;
        } else {
            return std::nullopt;
        }
        return response;
    }

    // What an event without a record says of its trial.
    nlohmann::json named() const {
        return {{"trial", trial_.number},
                {"condition", condition_name(context_.protocol(), trial_)},
                {"repeat", trial_.repeat}};
    }

    void record_start() {
        nlohmann::json started = named();
        started["start"] = trial_.request.level;
        if (context_.protocol().field.parts == FieldParts::quadrants)
            started["odd_quadrant"] = quadrant_name(odd_quadrant_, context_.protocol().field);
        context_.record("trial_started", started);
    }

    void record_end(const AdjustmentState& ended) {
        const double duration_s = elapsed_s();
        const int ignored = context_.take_ignored_presses();
        if (!ended.accepted) {
            nlohmann::json timed_out = named();
            timed_out["start"] = as_recorded(ended.start);
            timed_out["position"] = as_recorded(ended.position);
            timed_out["duration_s"] = duration_s;
            context_.record("setting_timed_out", timed_out);
            return;
        }
        SettingRecord setting = setting_record(context_.setup(), context_.station(), trial_, problem_, ended,
                                               lights_.reference, duration_s);
        setting.frames = frames_record(progress_.frames);
        setting.ignored_presses = ignored;
        context_.record(setting);
    }

    SessionContext& context_;
    Course& course_;
    const CourseTrial trial_;
    const AdjustmentProblem& problem_;
    const TrialLights lights_;
    const ExpectAdjustment expected_;
    int odd_quadrant_ = 0;
    PresentationProgress progress_;
};

}  // namespace

std::optional<EndedTrial> run_adjustment(SessionContext& context, Course& course) {
    return Adjustment(context, course).run();
}

}  // namespace isoseam
