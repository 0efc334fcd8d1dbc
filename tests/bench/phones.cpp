// A class on its telephones: each loads the page over six connections as browsers do, joins, holds an event
// stream and answers every few seconds.
//   ./dev build release bench_phones && build/release/tests/bench_phones [--phones 1000] [--seconds 120]
// Without --address it serves a stand-in for a lecture in a process of its own. With --address, --room and
// --desk it asks the program: a lecture that has a question with at least two choices.
//
// How long an answer takes to the desk is measured with probes: of the telephones 20 take turns, one at a
// time, to choose the last choice, which no other one takes, and to leave it again. So the desk's event that
// holds a probe's answer is known exactly, under the load of all others. The time runs from before the answer
// is written until the event is parsed, with what this program itself takes.
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <fstream>
#include <regex>

#include "bench/phones_class.h"
#include "bench/phones_server.h"
#include "runner/web/listening.h"

using namespace isoseam::bench;

namespace {

std::string ticket_in(const std::string& head) {
    const std::size_t from = head.find("Set-Cookie: ticket=");
    return from == std::string::npos ? "" : head.substr(from + 19, head.find(';', from) - from - 19);
}

// A telephone's event stream, opened anew where it breaks.
awaitable<void> hold_stream(Class& all, std::string ticket) {
    while (!all.over) {
        bool open = false;
        try {
            Http http(all);
            const Received head = co_await http.ask("GET", "/events?language=en", "", ticket);
            open = head.status == 200;
            all.most_streams = std::max(all.most_streams, all.streams += open ? 1 : 0);
            while (open) {
                const std::string state = co_await http.event();
                ++all.phone_events;
                if (all.closing != Clock::time_point{} && state.find("\"open\":false") != std::string::npos) {
                    all.fan_out_ms.push_back(since_ms(all.closing));
                }
            }
        } catch (const std::exception&) {
        }
        if (!all.over) {
            all.streams -= open ? 1 : 0;
            ++all.streams_lost;
            co_await pause(all, 2.0);
        }
    }
}

awaitable<void> load_one(Http& http, std::string target) {
    co_await http.ask("GET", target, "", "");
}

// Loads what belongs to a page, each part over a connection of its own, and holds as many connections as a
// browser does for as long as the server keeps them.
awaitable<std::vector<std::unique_ptr<Http>>> load(Class& all, std::vector<std::string> parts) {
    std::vector<std::unique_ptr<Http>> connections;
    asio::steady_timer loaded(all.context, Clock::time_point::max());
    std::size_t missing = std::max(parts.size(), kBrowserConnections - 1);
    std::exception_ptr fault;
    for (std::size_t i = 0; i < missing; ++i) {
        connections.push_back(std::make_unique<Http>(all));
    }
    const auto one_loaded = [&](const std::exception_ptr& failed) {
        fault = failed ? failed : fault;
        if (--missing == 0) {
            loaded.cancel();
        }
    };
    for (std::size_t i = 0; i < connections.size(); ++i) {
        Http& http = *connections[i];
        if (i < parts.size()) {
            asio::co_spawn(all.context, load_one(http, parts[i]), one_loaded);
        } else {
            asio::co_spawn(all.context, http.connect(), one_loaded);
        }
    }
    boost::system::error_code cancelled;
    co_await loaded.async_wait(asio::redirect_error(use_awaitable, cancelled));
    if (fault) {
        std::rethrow_exception(fault);
    }
    co_return connections;
}

// Loads the page and what belongs to it, joins, opens the stream: the ticket. `spare` gets the connections
// that the browser opened beside.
awaitable<std::string> come_in(Class& all, Http& http, std::vector<std::unique_ptr<Http>>& spare) {
    const auto begin = Clock::now();
    const Received page = co_await http.ask("GET", "/", "", "");
    const std::regex part("(src|href)=\"(/[^\"]+)\"");
    std::vector<std::string> parts;
    for (std::sregex_iterator at(page.body.begin(), page.body.end(), part), none; at != none; ++at) {
        parts.push_back((*at)[2].str());
    }
    spare = co_await load(all, std::move(parts));
    const std::string words = fmt::format(R"({{"room":"{}","language":"en"}})", all.options.room);
    Received joined = co_await http.ask("POST", "/join", words, "");
    while (joined.status == 429) {
        co_await pause(all, all.uniform(1.5, 3.0));  // as the page does
        joined = co_await http.ask("POST", "/join", words, "");
    }
    all.in_the_room_ms.push_back(since_ms(begin));
    const std::string ticket = ticket_in(joined.head);
    co_await http.ask("GET", "/state?language=en", "", ticket);
    asio::co_spawn(all.context, hold_stream(all, ticket), asio::detached);
    co_return ticket;
}

// An index; the program counts from 1.
std::string answer_words(const Class& all, int choice) {
    return fmt::format(R"({{"scene":{},"choice":{}}})", all.scene, choice + 1);
}

// Somewhere on each slider.
std::string steering_words(Class& all) {
    Json places = Json::array();
    for (std::size_t i = 0; i < all.desk_state.at("answers").at("sliders").size(); ++i) {
        places.push_back(all.uniform(0.0, 1.0));
    }
    return Json{{"scene", all.scene}, {"sliders", places}}.dump();
}

awaitable<void> phone(Class& all, int number) {
    try {
        co_await pause(all, all.uniform(0.0, kArrivalSeconds));
        Http http(all);
        std::vector<std::unique_ptr<Http>> spare;
        const std::string ticket = co_await come_in(all, http, spare);
        while (Clock::now() < all.end) {
            co_await pause(all, all.uniform(0.5, 1.5) * all.options.answer_every_s);
            if (Clock::now() < all.end) {
                const std::string words =
                    all.options.steer ? steering_words(all) : answer_words(all, number % (all.choices - 1));
                co_await http.ask("POST", "/answer", words, ticket);
            }
        }
    } catch (const std::exception& error) {
        ++all.requests[fmt::format("telephone gave up: {}", error.what())];
    }
}

int last_choice_count(const Class& all) {
    const Json& choices = all.desk_state.at("answers").at("choices");
    return choices.back().at("count").get<int>();
}

// Answers, and waits for the desk to have it. False when it never came.
awaitable<bool> probe(Class& all, Http& http, std::string ticket, bool last, int expected) {
    const auto begin = Clock::now();
    double seen_ms = -1.0;
    // The event may overtake the response, so the desk is watched from before the answer is sent.
    asio::co_spawn(
        all.context,
        [&]() -> awaitable<void> {
            while (last_choice_count(all) != expected && since_ms(begin) < 1000.0 * kProbeLostSeconds) {
                all.desk_news.expires_after(std::chrono::seconds(1));
                boost::system::error_code ignored;
                co_await all.desk_news.async_wait(asio::redirect_error(use_awaitable, ignored));
            }
            seen_ms = since_ms(begin);
        },
        asio::detached);
    const std::string words = answer_words(all, last ? all.choices - 1 : 0);
    co_await http.ask("POST", "/answer", words, ticket);
    while (seen_ms < 0.0) {
        co_await pause(all, 0.005);
    }
    if (seen_ms >= 1000.0 * kProbeLostSeconds) {
        co_return false;
    }
    all.probe_ms.push_back(seen_ms);
    co_return true;
}

awaitable<void> probes(Class& all) {
    try {
        std::vector<std::unique_ptr<Http>> connections;
        std::vector<std::unique_ptr<Http>> spare;
        std::vector<std::string> tickets;
        for (int i = 0; i < kProbes; ++i) {
            connections.push_back(std::make_unique<Http>(all));
            tickets.push_back(co_await come_in(all, *connections.back(), spare));
        }
        std::vector<bool> last(kProbes, false);
        int expected = last_choice_count(all);
        for (std::size_t turn = 0; Clock::now() < all.end; ++turn) {
            const std::size_t i = turn % kProbes;
            last[i] = !last[i];
            expected += last[i] ? 1 : -1;
            const bool came = co_await probe(all, *connections[i], tickets[i], last[i], expected);
            all.probes_lost += came ? 0 : 1;
            co_await pause(all, all.uniform(0.02, 0.1));
        }
    } catch (const std::exception& error) {
        ++all.requests[fmt::format("probes gave up: {}", error.what())];
    }
}

awaitable<void> desk_stream(Class& all) {
    try {
        Http http(all);
        co_await http.ask("GET", fmt::format("/desk/{}/events", all.options.desk), "", "");
        while (true) {
            all.desk_state = Json::parse(co_await http.event());
            ++all.desk_events;
            all.desk_news.cancel();
        }
    } catch (const std::exception& error) {
        if (!all.over) {
            ++all.requests[fmt::format("desk's stream broke: {}", error.what())];
        }
    }
}

awaitable<void> command(Class& all, std::string text) {
    Http http(all);
    co_await http.ask("POST", fmt::format("/desk/{}/command", all.options.desk), text, "");
}

// Goes to the first question, or scene that is steered, and opens it, lets everybody in, and closes it at the
// end.
awaitable<void> lecture(Class& all) {
    asio::co_spawn(all.context, desk_stream(all), asio::detached);
    while (all.desk_events == 0) {
        co_await pause(all, 0.05);
    }
    for (const Json& scene : all.desk_state.at("scenes")) {
        if (scene.at("kind") == (all.options.steer ? "steer" : "question")) {
            all.scene = scene.at("number").get<int>();
            break;
        }
    }
    co_await command(all, fmt::format(R"({{"do":"go","scene":{}}})", all.scene));
    co_await command(all, R"({"do":"open"})");
    co_await pause(all, 0.5);
    all.choices = static_cast<int>(all.desk_state.at("answers").at("choices").size());
    all.end = Clock::now() + std::chrono::duration_cast<Clock::duration>(
                                 std::chrono::duration<double>(all.options.seconds + kArrivalSeconds));
    if (!all.options.steer) {
        asio::co_spawn(all.context, probes(all), asio::detached);
    }
    for (int number = kProbes; number < all.options.phones; ++number) {
        asio::co_spawn(all.context, phone(all, number), asio::detached);
    }
    co_await pause(all, all.options.seconds + kArrivalSeconds + 2.0);
    all.closing = Clock::now();
    co_await command(all, R"({"do":"close"})");
    co_await pause(all, 3.0);
    all.over = true;
    all.context.stop();
}

std::string peak_memory(int pid) {
    std::ifstream file(fmt::format("/proc/{}/status", pid));
    for (std::string line; std::getline(file, line);) {
        if (line.starts_with("VmHWM:")) {
            return line.substr(6 + line.substr(6).find_first_not_of(" \t"));
        }
    }
    return "not known (say --server-pid)";
}

void tell(Class& all) {
    std::uint64_t refused = 0;
    for (const auto& [what, count] : all.requests) {
        fmt::print("  {:<40} {:>8}\n", what, count);
        const bool good = what.ends_with(" 200") || what.ends_with(" 204");
        refused += good ? 0 : count;
    }
    fmt::print("refused or failed            {}\n", refused);
    fmt::print("in the room, ms              median {:.1f}, 99 % {:.1f}, longest {:.1f} (of {} telephones)\n",
               percentile(all.in_the_room_ms, 50), percentile(all.in_the_room_ms, 99),
               percentile(all.in_the_room_ms, 100), all.in_the_room_ms.size());
    fmt::print("streams at once              {} ({} lost)\n", all.most_streams, all.streams_lost);
    fmt::print("events                       {} to telephones, {} to the desk\n", all.phone_events,
               all.desk_events);
    fmt::print("response, ms                 median {:.1f}, 99 % {:.1f}, longest {:.1f} (of {})\n",
               percentile(all.request_ms, 50), percentile(all.request_ms, 99),
               percentile(all.request_ms, 100), all.request_ms.size());
    fmt::print(
        "answer to the desk, ms       median {:.1f}, 99 % {:.1f}, longest {:.1f} (of {} probes; {} lost)\n",
        percentile(all.probe_ms, 50), percentile(all.probe_ms, 99), percentile(all.probe_ms, 100),
        all.probe_ms.size(), all.probes_lost);
    fmt::print("desk to all telephones, ms   median {:.1f}, 99 % {:.1f}, longest {:.1f} (of {})\n",
               percentile(all.fan_out_ms, 50), percentile(all.fan_out_ms, 99),
               percentile(all.fan_out_ms, 100), all.fan_out_ms.size());
    fmt::print("late frames, says the desk    {}\n", all.desk_state.value("late_frames", 0));
    fmt::print("server's memory at its most  {}\n", peak_memory(all.options.server_pid));
}

struct Child {
    pid_t pid = 0;
    int leash = -1;  // closing it ends the child
    std::uint16_t port = 0;
};

// Before there are threads.
Child started_stand_in(const StandIn& lecture) {
    std::array<int, 2> to_child{};
    std::array<int, 2> to_parent{};
    if (pipe(to_child.data()) != 0 || pipe(to_parent.data()) != 0) {
        throw std::runtime_error("no pipes");
    }
    const pid_t pid = fork();
    if (pid == 0) {
        close(to_child[1]);
        serve_stand_in(
            lecture,
            [&](std::uint16_t port) {
                if (write(to_parent[1], &port, sizeof port) != sizeof port) {
                    _exit(1);
                }
            },
            [&] {
                char byte = 0;
                while (read(to_child[0], &byte, 1) > 0) {
                }
            });
        _exit(0);
    }
    Child child{pid, to_child[1], 0};
    if (read(to_parent[0], &child.port, sizeof child.port) != sizeof child.port) {
        throw std::runtime_error("the stand-in did not start");
    }
    return child;
}

}  // namespace

int main(int count, char** words) {
    Class all;
    Options& options = all.options;
    CLI::App app("A class on its telephones");
    app.add_option("--phones", options.phones)->check(CLI::Range(kProbes, 10'000));
    app.add_option("--seconds", options.seconds);
    app.add_option("--answer-every", options.answer_every_s,
                   "seconds between a telephone's answers, on average")
        ->check(CLI::Range(0.1, 10.0));  // beyond that the server closes the connection in between
    app.add_option("--address", options.address, "HOST:PORT of the program");
    app.add_option("--room", options.room);
    app.add_option("--desk", options.desk, "secret of the desk's address");
    app.add_option("--server-pid", options.server_pid);
    app.add_flag("--steer", options.steer, "steer the program's field instead of answering a question");
    CLI11_PARSE(app, count, words);

    isoseam::allow_open_files(static_cast<int>(kBrowserConnections + 1) * options.phones + 100);
    Child child;
    if (options.address.empty()) {
        const StandIn lecture;
        child = started_stand_in(lecture);
        options.room = lecture.room;
        options.desk = lecture.desk;
        options.server_pid = child.pid;
        options.address = fmt::format("127.0.0.1:{}", child.port);
    }
    const std::size_t colon = options.address.rfind(':');
    all.server = tcp::endpoint(asio::ip::make_address(options.address.substr(0, colon)),
                               static_cast<std::uint16_t>(std::stoi(options.address.substr(colon + 1))));
    asio::co_spawn(all.context, lecture(all), asio::detached);
    all.context.run();
    fmt::print("{} telephones, {:.0f} s, an answer every {:.0f} s\n", options.phones, options.seconds,
               options.answer_every_s);
    tell(all);
    if (child.pid != 0) {
        const auto begin = Clock::now();
        close(child.leash);
        waitpid(child.pid, nullptr, 0);
        fmt::print("the server's end took        {:.0f} ms, with all streams open\n", since_ms(begin));
    }
    return 0;
}
