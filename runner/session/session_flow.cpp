#include "runner/session/session_flow.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "protocols/course/course.h"
#include "runner/session/adjustment_trial.h"
#include "runner/session/answer_trial.h"
#include "runner/session/session_context.h"
#include "runner/session/trial_records.h"

namespace isoseam {
namespace {

// One session in progress.
class SessionFlow {
  public:
    SessionFlow(const Setup& setup, std::uint64_t seed, Station& station, SessionLog& log,
                const Report& report, const TrialSaved& trial_saved, std::string language,
                const Resumption& resumption)
        : context_(setup, seed, station, log, report, resumption.last_event_s),
          protocol_(setup.protocol()),
          log_(log),
          trial_saved_(trial_saved),
          language_(std::move(language)),
          resumption_(resumption),
          course_(setup, station.depth(setup.source_of(setup.reference_half())), seed,
                  log.header().participant),
          settings_(resumption.settings),
          answers_(resumption.answers) {
        for (const Event& trial : resumption.trials)
            replay(trial);
    }

    SessionOutcome run(const std::vector<std::string>& warnings) {
        if (log_.events_written() == 0)
            context_.record("session_started", nlohmann::json::object());
        if (!resumption_.resumed_utc.empty())
            context_.record("session_resumed",
                            {{"resumed_utc", resumption_.resumed_utc}, {"settings", settings_}});
        for (const std::string& warning : warnings)
            context_.record("warning", {{"text", warning}});
        const bool finished = ask_first() && show_pages(protocol_.pages) && run_trials() &&
                              ask_questions(context_, QuestionTime::after, resumption_.asked.questions);
        static_cast<void>(context_.take_ignored_presses());
        context_.record("session_ended", {{"reason", finished ? "finished" : "left"},
                                          {"settings", settings_},
                                          {"answers", answers_},
                                          {"ignored_presses", context_.ignored_presses()}});
        if (finished)
            show_closing();
        return {finished, settings_, answers_};
    }

  private:
    // Gives a recorded trial to the course again.
    void replay(const Event& trial) {
        const std::optional<CourseTrial>& next = course_.next();
        const std::string condition = trial.data.at("condition");
        const int number = trial.data.at("trial");
        if (!next || next->number != number || condition_name(protocol_, *next) != condition) {
            throw InputError(
                Fault{log_.folder(), 0, 0, "",
                      fmt::format("trial {} was of condition '{}', which this program does not come to there",
                                  number, condition),
                      fmt::format("go on with version {} of the program, which began the session",
                                  log_.header().program_version)});
        }
        TrialResponse response;
        if (trial.kind == "answer") {
            response = response_of(answer_from_json(trial.data));
        } else if (trial.kind == "setting") {
            response.kind = TrialResponse::Kind::accept;
        } else {
            constexpr double kLongAfterAnyLimit = 1e12;
            response.kind = TrialResponse::Kind::waiting;
            response.elapsed_s = kLongAfterAnyLimit;
        }
        ISOSEAM_CHECK(course_.respond(response).has_value(), trial.kind);
    }

    bool ask_first() {
        const AlreadyAsked& asked = resumption_.asked;
        if (!asked.language.empty())
            context_.speak(asked.language);
        else if (!settle_language(context_, language_))
            return false;
        return (asked.consent || ask_consent(context_)) && ask_exclusions(context_) &&
               ask_questions(context_, QuestionTime::before, asked.questions);
    }

    bool show_pages(const std::vector<InstructionPage>& pages) {
        for (const InstructionPage& page : pages) {
            context_.record("page_shown", {{"page", ++pages_shown_}});
            Instruction shown{context_.words(page.heading), page.paragraphs.in(context_.language()),
                              context_.phrase("go_on_foot")};
            if (page.keys)
                shown.keys = keys_of_next_trial();
            if (!context_.show_until_accepted(shown))
                return false;
        }
        return true;
    }

    bool show(const char* heading, const char* text, const char* foot = "go_on_foot") {
        return context_.show_until_accepted(context_.page(heading, text, foot));
    }

    std::vector<KeyHint> keys_of_next_trial() {
        if (!course_.next())
            return {};
        const TrialRequest& request = course_.next()->request;
        if (request.form != AnswerForm::adjustment)
            return context_.station().key_hints(expected_answer(request, protocol_.field));
        const int axes = static_cast<int>(course_.adjustment().axes.size());
        return context_.station().key_hints(ExpectAdjustment{.axes = axes});
    }

    // Shows the adaptation light. A pause does not count as adaptation: after a pause, adaptation starts
    // anew. Returns false when the participant leaves.
    bool adapt(double duration_s) {
        if (duration_s <= 0.0 || !protocol_.adaptation)
            return true;
        Station& station = context_.station();
        context_.record("adaptation_started",
                        {{"light", protocol_.adaptation->text()}, {"duration_s", duration_s}});
        double from_s = 0.0;
        Action action;
        do {
            station.expect(ExpectNothing{});
            from_s = station.now_s();
            action = context_.pass(duration_s,
                                   [&](double left_s) { station.show_adaptation(left_s / duration_s); });
            if (stops(action) && !context_.pause(action))
                return false;
        } while (stops(action));
        context_.record("adaptation_ended", {{"shown_s", station.now_s() - from_s}});
        return true;
    }

    bool run_trials() {
        bool is_first = true;  // Of this sitting's trials.
        while (course_.next()) {
            const CourseTrial trial = *course_.next();
            if (!lead_to(trial, is_first))
                return false;
            is_first = false;
            const bool adjusts = trial.request.form == AnswerForm::adjustment;
            const std::optional<EndedTrial> ended =
                adjusts ? run_adjustment(context_, course_) : run_answer_trial(context_, course_);
            if (!ended)
                return false;
            settings_ += ended->setting && ended->setting->accepted ? 1 : 0;
            answers_ += ended->answer ? 1 : 0;
            if (trial_saved_)
                trial_saved_(course_.trials_done(), log_.header().planned_settings);
            if (!explain(trial, *ended))
                return false;
        }
        return true;
    }

    // Shows what comes before a trial: pages, rest and adaptation. Returns false when the participant leaves.
    bool lead_to(const CourseTrial& trial, bool is_first) {
        const Block& block = protocol_.blocks[static_cast<std::size_t>(trial.block)];
        const bool begins = trial.block_begins || is_first;
        if (trial.block_begins && protocol_.blocks.size() > 1)
            context_.record("block_started", {{"block", trial.block + 1}, {"name", block.name}});
        if (begins && !show_pages(block.pages))
            return false;
        if (begins && !adapt(protocol_.adaptation_s))
            return false;
        const bool practice_begins = trial.request.practice && (begins || !practised_);
        practised_ = trial.request.practice;
        if (practice_begins && !show("practice_heading", "practice_text"))
            return false;
        if (begins)
            return true;
        const int done = trial.before_in_block;
        const bool rests = done > 0 && block.rest_every > 0 && done % block.rest_every == 0;
        // The field without a target keeps the eyes adapted between the trials of a task.
        const bool tops_up = trial.request.form == AnswerForm::adjustment;
        return rests ? rest() : !tops_up || adapt(protocol_.top_up_s);
    }

    bool rest() {
        context_.record("rest_started", nlohmann::json::object());
        if (!show("rest_heading", "rest_text", "rest_foot"))
            return false;
        context_.record("rest_ended", nlohmann::json::object());
        return adapt(protocol_.adaptation_s);
    }

    // Tells the participant how a trial ended, where that matters. Returns false when the participant leaves.
    bool explain(const CourseTrial& trial, const EndedTrial& ended) {
        if (ended.setting && !ended.setting->accepted)
            return show("time_up_heading", "time_up_text");
        if (ended.practice_failed) {
            context_.record("practice_failed",
                            {{"trial", trial.number}, {"condition", condition_name(protocol_, trial)}});
            if (!show("call_heading", "practice_failed_text"))
                return false;
        }
        return !ended.practice_over || show("practice_over_heading", "practice_over_text");
    }

    // After the end nothing is recorded any more.
    void show_closing() {
        Station& station = context_.station();
        station.expect(ExpectGoOn{});
        station.show_page({context_.phrase("finished_heading"),
                           {protocol_.closing.empty() ? context_.phrase("finished_text")
                                                      : context_.words(protocol_.closing)},
                           context_.phrase("close_foot")});
        for (;;) {
            const Action action = station.wait(kWaitSeconds);
            if (std::holds_alternative<Accepted>(action) || std::holds_alternative<Escaped>(action))
                return;
        }
    }

    SessionContext context_;
    const Protocol& protocol_;
    SessionLog& log_;
    const TrialSaved& trial_saved_;
    std::string language_;
    const Resumption& resumption_;
    Course course_;
    int settings_;
    int answers_;
    int pages_shown_ = 0;
    bool practised_ = false;  // Whether the last trial was for practice.
};

}  // namespace

Resumption resumption_of(const SessionFolder& folder, const std::string& resumed_utc) {
    Resumption resumption;
    for (const Event& event : folder.events) {
        if (event.kind == "setting" || event.kind == "setting_timed_out" || event.kind == "answer")
            resumption.trials.push_back(event);
        if (event.kind == "language_chosen")
            resumption.asked.language = event.data.at("language");
        if (event.kind == "consent_given")
            resumption.asked.consent = true;
        if (event.kind == "question_answered")
            resumption.asked.questions.insert(event.data.at("name").get<std::string>());
    }
    resumption.settings = static_cast<int>(folder.settings.size());
    resumption.answers = static_cast<int>(folder.answers.size());
    resumption.last_event_s = folder.events.empty() ? 0.0 : folder.events.back().time_s;
    resumption.resumed_utc = resumed_utc;
    return resumption;
}

SessionOutcome go_on_with_session(const Setup& setup, std::uint64_t seed, const Resumption& resumption,
                                  const std::vector<std::string>& warnings, Station& station, SessionLog& log,
                                  const Report& report) {
    const TrialSaved nobody;
    return SessionFlow(setup, seed, station, log, report, nobody, "", resumption).run(warnings);
}

SessionOutcome run_session(const Setup& setup, std::uint64_t seed, const std::vector<std::string>& warnings,
                           Station& station, SessionLog& log, const Report& report,
                           const TrialSaved& trial_saved, const std::string& language) {
    const Resumption nothing;
    return SessionFlow(setup, seed, station, log, report, trial_saved, language, nothing).run(warnings);
}

}  // namespace isoseam
