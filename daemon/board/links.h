/* SPDX-License-Identifier: MIT */
/* The two links: one to look, one to operate. Each ends with a token of 128 random bits, kept in a
 * file that its owner alone can read, so that a link holds over a restart. A browser that shows a
 * token is given a cookie in its place, which follows from the token and does not lead back to it.
 */
#ifndef GAINWARDEN_BOARD_LINKS_H
#define GAINWARDEN_BOARD_LINKS_H

#include <stdbool.h>

#include "base/problems.h"
#include "base/sha256.h"

/* What somebody may do; the more the higher. */
enum board_right { RIGHT_NONE, RIGHT_LOOK, RIGHT_OPERATE, RIGHTS };

enum { LINKS_TOKEN_SIZE = 33 };

struct board_links {
    char token[RIGHTS][LINKS_TOKEN_SIZE]; /* by right; of RIGHT_NONE "" */
    char cookie[RIGHTS][SHA256_TEXT_SIZE];
};

/* "look", "operate" */
const char *board_right_name(enum board_right right);

/* Reads the file, or makes it with new tokens where there is none. False, with the reason in the
 * problems, when it cannot, or when others could have read it. */
bool board_links_open(struct board_links *links, const char *path, struct problems *problems);

/* What a token, or a cookie, allows. How long it takes tells nothing of how near it was. */
enum board_right board_links_token(const struct board_links *links, const char *token);
enum board_right board_links_cookie(const struct board_links *links, const char *cookie);

#endif
