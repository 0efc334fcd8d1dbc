#pragma once
// Runs a program to its end and keeps what it printed; or starts one and leaves it running.

#include <fcntl.h>
#include <poll.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

namespace isoseam::test {

struct ProgramResult {
    int status = -1;  // exit status, or 128 + the signal that ended it
    std::string out;
    std::string err;
};

struct ProgramOptions {
    std::string input;                               // standard input
    std::map<std::string, std::string> environment;  // set on top of this process's
    std::vector<std::string> unset;                  // taken out of it
    std::string folder;                              // working folder; empty: this process's
    bool more_input = false;                         // standard input stays open: see say()
};

// A child with pipes. Killed when it goes out of scope.
class RunningProgram {
  public:
    explicit RunningProgram(const std::vector<std::string>& words, const ProgramOptions& options = {}) {
        int in[2], out[2], err[2];
        if (pipe2(in, O_CLOEXEC) != 0 || pipe2(out, O_CLOEXEC) != 0 || pipe2(err, O_CLOEXEC) != 0)
            throw std::runtime_error("pipe");
        pid_ = fork();
        if (pid_ == 0) {
            dup2(in[0], STDIN_FILENO);
            dup2(out[1], STDOUT_FILENO);
            dup2(err[1], STDERR_FILENO);
            for (const std::string& name : options.unset)
                unsetenv(name.c_str());
            for (const auto& [name, value] : options.environment)
                setenv(name.c_str(), value.c_str(), 1);
            if (!options.folder.empty() && chdir(options.folder.c_str()) != 0)
                _exit(126);
            std::vector<char*> arguments;
            for (const std::string& word : words)
                arguments.push_back(const_cast<char*>(word.c_str()));
            arguments.push_back(nullptr);
            execvp(arguments[0], arguments.data());
            _exit(127);
        }
        close(in[0]);
        close(out[1]);
        close(err[1]);
        input_ = in[1];
        out_ = out[0];
        err_ = err[0];
        signal(SIGPIPE, SIG_IGN);
        if (!options.input.empty() && write(input_, options.input.data(), options.input.size()) < 0)
            input_failed_ = true;
        if (!options.more_input)
            close_input();
    }
    ~RunningProgram() {
        if (!ended_)
            kill_and_wait();
        close_input();
        close(out_);
        close(err_);
    }
    RunningProgram(const RunningProgram&) = delete;
    RunningProgram& operator=(const RunningProgram&) = delete;

    pid_t pid() const { return pid_; }

    // Of a program with more input.
    void say(const std::string& text) {
        if (write(input_, text.data(), text.size()) < 0)
            input_failed_ = true;
    }
    void close_input() {
        if (input_ >= 0)
            close(input_);
        input_ = -1;
    }

    // What stands between `before` and `after` on standard error, as soon as it is there.
    std::string told(const std::string& before, const std::string& after) {
        for (;;) {
            const std::size_t from = told_.find(before);
            const std::size_t to = from == std::string::npos ? from : told_.find(after, from + before.size());
            if (to != std::string::npos)
                return told_.substr(from + before.size(), to - from - before.size());
            if (!drain(err_, told_))
                throw std::runtime_error("not told: " + before + "; but: " + told_);
        }
    }

    // SIGKILL; what it had printed until then.
    ProgramResult kill_and_wait() {
        kill(pid_, SIGKILL);
        return wait();
    }

    ProgramResult wait() {
        ProgramResult result;
        result.err = told_;
        bool out_open = true, err_open = true;
        while (out_open || err_open) {
            pollfd waiting[2] = {{out_open ? out_ : -1, POLLIN, 0}, {err_open ? err_ : -1, POLLIN, 0}};
            poll(waiting, 2, -1);
            if (waiting[0].revents != 0)
                out_open = drain(out_, result.out);
            if (waiting[1].revents != 0)
                err_open = drain(err_, result.err);
        }
        int status = 0;
        waitpid(pid_, &status, 0);
        ended_ = true;
        result.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
        return result;
    }

  private:
    static bool drain(int descriptor, std::string& text) {
        char buffer[65536];
        const ssize_t count = read(descriptor, buffer, sizeof buffer);
        if (count > 0)
            text.append(buffer, static_cast<std::size_t>(count));
        return count > 0;
    }

    pid_t pid_ = -1;
    int input_ = -1, out_ = -1, err_ = -1;
    std::string told_;
    bool ended_ = false;
    bool input_failed_ = false;
};

inline ProgramResult run_program(const std::vector<std::string>& words, const ProgramOptions& options = {}) {
    return RunningProgram(words, options).wait();
}

}  // namespace isoseam::test
