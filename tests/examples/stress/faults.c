// Lets the n-th call that writes below a folder fail. FAULT_AT: n from 1, 0 for none; FAULT_WITH: ENOSPC or EIO;
// FAULT_UNDER: the folder; FAULT_COUNT: file into which the number of calls is written at the end.
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <unistd.h>

static atomic_int calls;

static int is_under(const char *path) {
    const char *under = getenv("FAULT_UNDER");
    return under && path && (path[0] != '/' || strncmp(path, under, strlen(under)) == 0);
}

static int is_file_under(int fd) {
    char link[64], path[PATH_MAX];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    if (n <= 0) return 0;
    path[n] = 0;
    return path[0] == '/' && is_under(path);
}

static int fails(void) {
    const char *at = getenv("FAULT_AT"), *with = getenv("FAULT_WITH");
    int nth = atomic_fetch_add(&calls, 1) + 1;
    if (!at || nth != atoi(at)) return 0;
    errno = with && strcmp(with, "ENOSPC") == 0 ? ENOSPC : EIO;
    return 1;
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

ssize_t write(int fd, const void *bytes, size_t n) {
    if (is_file_under(fd) && fails()) return -1;
    return REAL(write)(fd, bytes, n);
}
ssize_t writev(int fd, const struct iovec *parts, int n) {
    if (is_file_under(fd) && fails()) return -1;
    return REAL(writev)(fd, parts, n);
}
int fsync(int fd) { return is_file_under(fd) && fails() ? -1 : REAL(fsync)(fd); }
int fdatasync(int fd) { return is_file_under(fd) && fails() ? -1 : REAL(fdatasync)(fd); }
int ftruncate64(int fd, off64_t n) { return is_file_under(fd) && fails() ? -1 : REAL(ftruncate64)(fd, n); }
int rename(const char *from, const char *to) { return is_under(to) && fails() ? -1 : REAL(rename)(from, to); }
int link(const char *from, const char *to) { return is_under(to) && fails() ? -1 : REAL(link)(from, to); }
int linkat(int a, const char *from, int b, const char *to, int flags) {
    return is_under(to) && fails() ? -1 : REAL(linkat)(a, from, b, to, flags);
}
int mkdir(const char *path, mode_t mode) { return is_under(path) && fails() ? -1 : REAL(mkdir)(path, mode); }
int chmod(const char *path, mode_t mode) { return is_under(path) && fails() ? -1 : REAL(chmod)(path, mode); }
int fchmod(int fd, mode_t mode) { return is_file_under(fd) && fails() ? -1 : REAL(fchmod)(fd, mode); }

int open64(const char *path, int flags, ...) {
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;
    va_end(more);
    if ((flags & (O_WRONLY | O_RDWR)) && is_under(path) && fails()) return -1;
    return REAL(open64)(path, flags, mode);
}

__attribute__((destructor)) static void tell(void) {
    const char *path = getenv("FAULT_COUNT");
    if (!path) return;
    int fd = REAL(open64)(path, O_WRONLY | O_CREAT | O_TRUNC, 0644);
    char text[32];
    int n = snprintf(text, sizeof text, "%d\n", atomic_load(&calls));
    if (fd >= 0) {
        REAL(write)(fd, text, n);
        close(fd);
    }
}
