/* SPDX-License-Identifier: MIT */
#include "board/links.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sys/stat.h>

#include "base/atomic_file.h"
#include "base/json.h"

const char *
board_right_name(enum board_right right)
{
    static const char *const names[RIGHTS] = {"nothing", "look", "operate"};

    return names[right];
}

/* ---- tokens ---- */

static bool
is_token(const char *text)
{
    return strlen(text) == LINKS_TOKEN_SIZE - 1 &&
           strspn(text, "0123456789abcdef") == LINKS_TOKEN_SIZE - 1;
}

static bool
make_token(char token[LINKS_TOKEN_SIZE], struct problems *problems)
{
    unsigned char bytes[LINKS_TOKEN_SIZE / 2];

    if (getrandom(bytes, sizeof bytes, 0) != (ssize_t)sizeof bytes) {
        problems_add(problems, "the system has no random numbers for the board's links: %s",
                     strerror(errno));
        return false;
    }
    for (size_t i = 0; i < sizeof bytes; i++)
        snprintf(token + 2 * i, 3, "%02x", bytes[i]);
    return true;
}

static void
make_cookies(struct board_links *links)
{
    for (enum board_right right = RIGHT_LOOK; right < RIGHTS; right++) {
        char text[100];
        int length = snprintf(text, sizeof text, "cookie of the board: %s", links->token[right]);

        sha256_text(text, (size_t)length, links->cookie[right]);
    }
}

/* All are compared, so that the time does not tell which it was. */
static enum board_right
right_of(const char *given, const char *look, const char *operate)
{
    bool looks = sha256_same(given, look), operates = sha256_same(given, operate);

    return operates ? RIGHT_OPERATE : looks ? RIGHT_LOOK : RIGHT_NONE;
}

enum board_right
board_links_token(const struct board_links *links, const char *token)
{
    return right_of(token, links->token[RIGHT_LOOK], links->token[RIGHT_OPERATE]);
}

enum board_right
board_links_cookie(const struct board_links *links, const char *cookie)
{
    return right_of(cookie, links->cookie[RIGHT_LOOK], links->cookie[RIGHT_OPERATE]);
}

/* ---- the file ---- */

static bool
is_secret(const char *path, struct problems *problems)
{
    struct stat file;

    if (stat(path, &file) == 0 && (file.st_mode & 077) == 0)
        return true;
    problems_add(problems,
                 "%s: others can read it, so the board's links are no secret: delete it, and new "
                 "ones are made",
                 path);
    return false;
}

static bool
take_tokens(struct board_links *links, const struct json *json)
{
    for (enum board_right right = RIGHT_LOOK; right < RIGHTS; right++) {
        const char *token = json_string_at(json, board_right_name(right));

        if (!is_token(token))
            return false;
        strcpy(links->token[right], token);
    }
    return strcmp(links->token[RIGHT_LOOK], links->token[RIGHT_OPERATE]) != 0;
}

static bool
read_links(struct board_links *links, const char *path, struct problems *problems)
{
    struct json *json = is_secret(path, problems) ? json_read(path, problems) : NULL;
    bool good = json && take_tokens(links, json);

    if (json && !good)
        problems_add(problems, "%s: holds no links of a board: delete it, and new ones are made",
                     path);
    json_free(json);
    return good;
}

static bool
make_links(struct board_links *links, const char *path, struct problems *problems)
{
    struct json *json = json_new_object();
    bool good = true;
    char *text;

    for (enum board_right right = RIGHT_LOOK; right < RIGHTS; right++) {
        good = good && make_token(links->token[right], problems);
        json_add_string(json, board_right_name(right), links->token[right]);
    }
    text = json_print(json, true);
    if (good && !atomic_file_write(path, text, strlen(text), 0600)) {
        problems_add(problems, "%s: cannot be written: %s", path, strerror(errno));
        good = false;
    }
    free(text);
    json_free(json);
    return good;
}

bool
board_links_open(struct board_links *links, const char *path, struct problems *problems)
{
    struct stat file;
    bool there = stat(path, &file) == 0 || errno != ENOENT;

    *links = (struct board_links){0};
    if (there ? !read_links(links, path, problems) : !make_links(links, path, problems))
        return false;
    make_cookies(links);
    return true;
}
