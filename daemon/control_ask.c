/* The asking side of the control socket. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <sys/un.h>
#include <unistd.h>

#include "atomic_file.h"
#include "control.h"

enum { ANSWER_MOST = 64 * 1024 * 1024 };

static int
connect_to(const char *path, struct problems *problems)
{
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    struct timeval patience = {CONTROL_PATIENCE_MS / 1000, 0};
    int fd;

    if (strlen(path) >= sizeof address.sun_path) {
        problems_add(problems, "%s: too long for a socket's path", path);
        return -1;
    }
    strcpy(address.sun_path, path);
    fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd >= 0 && setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience) == 0 &&
        setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &patience, sizeof patience) == 0 &&
        connect(fd, (const struct sockaddr *)&address, sizeof address) == 0)
        return fd;
    if (errno == ENOENT || errno == ECONNREFUSED)
        problems_add(
            problems,
            "no watch of this show is running (%s: %s); `gainwarden watch SHOW` starts one", path,
            strerror(errno));
    else
        problems_add(problems, "%s: cannot be asked: %s", path, strerror(errno));
    if (fd >= 0)
        close(fd);
    return -1;
}

static bool
send_line(int fd, const struct json *request)
{
    char *text = json_print(request, false);
    bool good = atomic_file_write_all(fd, text, strlen(text)) && atomic_file_write_all(fd, "\n", 1);

    free(text);
    return good;
}

static char *
grow(char *bytes, size_t *size)
{
    *size *= 2;
    bytes = realloc(bytes, *size);
    if (!bytes)
        abort();
    return bytes;
}

/* Everything up to the end of the connection, to free(); no more than ANSWER_MOST. */
static char *
read_answer(int fd, size_t *length)
{
    size_t size = 2048;
    char *bytes = grow(NULL, &size);

    *length = 0;
    while (*length < ANSWER_MOST) {
        ssize_t got = read(fd, bytes + *length, size - *length);

        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            break;
        *length += (size_t)got;
        if (*length == size)
            bytes = grow(bytes, &size);
    }
    return bytes;
}

struct json *
control_ask(const char *path, const struct json *request, struct problems *problems)
{
    int fd = connect_to(path, problems);
    struct json *answer = NULL;
    size_t length = 0;
    char *bytes;

    if (fd < 0)
        return NULL;
    bytes = send_line(fd, request) ? read_answer(fd, &length) : NULL;
    if (length > 0 && bytes[length - 1] == '\n') {
        bytes[length - 1] = '\0';
        answer = json_parse(bytes, length - 1, "the watch's answer", problems);
    } else {
        problems_add(problems, "the watch did not answer within %d s", CONTROL_PATIENCE_MS / 1000);
    }
    free(bytes);
    close(fd);
    return answer;
}
