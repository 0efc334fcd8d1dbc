#include "calibration/instruments/child_process.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <cmath>
#include <csignal>
#include <optional>

#include "base/errors.h"

extern char** environ;

namespace isoseam {
namespace {

constexpr std::size_t kMostBytes = 1024 * 1024;
// How long the ends of a program's output are waited for after the program itself has ended: something that
// it left in the background may hold them open.
constexpr double kLastWordsSeconds = 1.0;

double steady_now_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

class Pipe {
  public:
    Pipe() {
        if (::pipe2(ends_.data(), O_CLOEXEC) != 0)
            throw MachineError(fmt::format("no pipe to a program (error {})", errno), "close other programs");
    }
    ~Pipe() {
        close_read();
        close_write();
    }
    Pipe(const Pipe&) = delete;
    Pipe& operator=(const Pipe&) = delete;
    int read_end() const { return ends_[0]; }
    int write_end() const { return ends_[1]; }
    void close_read() { close_one(ends_[0]); }
    void close_write() { close_one(ends_[1]); }

  private:
    static void close_one(int& fd) {
        if (fd >= 0)
            ::close(fd);
        fd = -1;
    }
    std::array<int, 2> ends_{-1, -1};
};

// "NAME=value", this process's own and those on top of it.
std::vector<std::string> environment_words(const std::map<std::string, std::string>& on_top) {
    std::vector<std::string> words;
    for (char** entry = environ; *entry != nullptr; ++entry) {
        const std::string word = *entry;
        if (!on_top.contains(word.substr(0, word.find('='))))
            words.push_back(word);
    }
    for (const auto& [name, value] : on_top)
        words.push_back(fmt::format("{}={}", name, value));
    return words;
}

std::vector<char*> pointers_to(std::vector<std::string>& words) {
    std::vector<char*> pointers;
    for (std::string& word : words)
        pointers.push_back(word.data());
    pointers.push_back(nullptr);
    return pointers;
}

// Returns 0 or an errno. The program gets a process group of its own, so that it can be killed with
// everything that it started.
int spawn(std::vector<std::string> words, const std::map<std::string, std::string>& environment, Pipe& out,
          Pipe& err, pid_t& process) {
    std::vector<std::string> variables = environment_words(environment);
    const std::vector<char*> arguments = pointers_to(words);
    const std::vector<char*> variable_pointers = pointers_to(variables);
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    posix_spawn_file_actions_init(&actions);
    posix_spawnattr_init(&attributes);
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_adddup2(&actions, out.write_end(), STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, err.write_end(), STDERR_FILENO);
    posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP);
    posix_spawnattr_setpgroup(&attributes, 0);
    const int error = ::posix_spawnp(&process, arguments[0], &actions, &attributes, arguments.data(),
                                     variable_pointers.data());
    posix_spawnattr_destroy(&attributes);
    posix_spawn_file_actions_destroy(&actions);
    out.close_write();
    err.close_write();
    return error;
}

// Says whether more may come.
bool drain(int fd, std::string& text) {
    std::array<char, 16384> buffer{};
    const ssize_t count = ::read(fd, buffer.data(), buffer.size());
    if (count > 0)
        text.append(buffer.data(), static_cast<std::size_t>(count));
    return count > 0 || (count < 0 && (errno == EINTR || errno == EAGAIN));
}

// The exit status once the process has ended.
std::optional<int> ended(pid_t process) {
    int status = 0;
    return ::waitpid(process, &status, WNOHANG) == process ? std::optional(status) : std::nullopt;
}

class Listener {
  public:
    Listener(pid_t process, Pipe& out, Pipe& err) : process_(process), out_(out), err_(err) {}

    ChildResult listen(double timeout_s) {
        double deadline_s = steady_now_s() + timeout_s;
        std::optional<int> status;
        bool out_open = true;
        bool err_open = true;
        while (out_open || err_open || !status) {
            if (!status) {
                status = ended(process_);
                if (status)
                    deadline_s = std::min(deadline_s, steady_now_s() + kLastWordsSeconds);
            }
            const double left_s = deadline_s - steady_now_s();
            if (!(left_s > 0.0))
                return status ? finished(*status) : killed(ChildResult::End::timed_out);
            if (result_.out.size() + result_.err.size() > kMostBytes)
                return status ? finished(*status) : killed(ChildResult::End::printed_too_much);
            std::array<pollfd, 2> waiting{pollfd{out_open ? out_.read_end() : -1, POLLIN, 0},
                                          pollfd{err_open ? err_.read_end() : -1, POLLIN, 0}};
            // A child may end without being noticed by poll, whether it has closed its output or not. So it
            // is looked at again soon.
            constexpr double kLookAgainSeconds = 0.02;
            ::poll(waiting.data(), waiting.size(),
                   static_cast<int>(std::ceil(1e3 * std::min(left_s, kLookAgainSeconds))));
            if (waiting[0].revents != 0)
                out_open = drain(out_.read_end(), result_.out);
            if (waiting[1].revents != 0)
                err_open = drain(err_.read_end(), result_.err);
        }
        return finished(*status);
    }

  private:
    ChildResult finished(int status) {
        const bool exited = WIFEXITED(status);
        result_.end = exited ? ChildResult::End::exited : ChildResult::End::killed;
        result_.status = exited ? WEXITSTATUS(status) : WTERMSIG(status);
        return std::move(result_);
    }

    ChildResult killed(ChildResult::End why) {
        ::kill(-process_, SIGKILL);
        ::waitpid(process_, nullptr, 0);
        result_.end = why;
        result_.status = SIGKILL;
        return std::move(result_);
    }

    pid_t process_;
    Pipe& out_;
    Pipe& err_;
    ChildResult result_;
};

class Splitter {
  public:
    Splitter(std::string_view text, const std::string& key) : text_(text), key_(key) {}

    std::vector<std::string> words() {
        for (; at_ < text_.size(); ++at_)
            take(text_[at_]);
        if (quote_ != 0)
            refuse(fmt::format("the quotation mark {} is never closed in '{}'", quote_, text_));
        end_word();
        if (words_.empty() || words_.front().empty())
            refuse("names no program");
        return std::move(words_);
    }

  private:
    void take(char c) {
        if (quote_ != 0 && c == quote_) {
            quote_ = 0;
        } else if (c == '\\' && quote_ != '\'' && at_ + 1 < text_.size()) {
            add(text_[++at_]);
        } else if (quote_ == 0 && (c == '"' || c == '\'')) {
            quote_ = c;
            in_word_ = true;
        } else if (quote_ == 0 && (c == ' ' || c == '\t' || c == '\n')) {
            end_word();
        } else {
            add(c);
        }
    }
    void add(char c) {
        word_ += c;
        in_word_ = true;
    }
    void end_word() {
        if (in_word_)
            words_.push_back(word_);
        word_.clear();
        in_word_ = false;
    }
    [[noreturn]] void refuse(std::string found) const {
        throw InputError(key_, std::move(found),
                         "write the program and its words, with words that hold blanks in quotation marks");
    }

    std::string_view text_;
    const std::string& key_;
    std::size_t at_ = 0;
    char quote_ = 0;
    bool in_word_ = false;
    std::string word_;
    std::vector<std::string> words_;
};

}  // namespace

std::vector<std::string> split_command(std::string_view text, const std::string& key) {
    return Splitter(text, key).words();
}

ChildResult run_child(const std::vector<std::string>& words,
                      const std::map<std::string, std::string>& environment, double timeout_s) {
    ISOSEAM_CHECK(!words.empty());
    Pipe out;
    Pipe err;
    pid_t process = -1;
    const int error = spawn(words, environment, out, err, process);
    if (error != 0) {
        ChildResult result;
        result.status = error;
        return result;
    }
    return Listener(process, out, err).listen(timeout_s);
}

}  // namespace isoseam
