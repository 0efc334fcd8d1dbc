#include <malloc.h>

#include "runner/program.h"

int main(int argc, char** argv) {
    // Many folders may be read and let go, one after the other. The heap keeps its memory, so that it need
    // not fetch the same pages from the kernel again for each folder.
    constexpr int kMiB = 1 << 20;
    mallopt(M_MMAP_THRESHOLD, 32 * kMiB);
    mallopt(M_TRIM_THRESHOLD, 128 * kMiB);
    return isoseam::run_command_line(argc, argv);
}
