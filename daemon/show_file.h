/* The show file: what tonight is. Read in two steps, because the numbers of inputs and mixes come
 * from the profile that it names.
 */
#ifndef GAINWARDEN_SHOW_FILE_H
#define GAINWARDEN_SHOW_FILE_H

#include <stdbool.h>

#include "json.h"
#include "profile.h"
#include "show.h"
#include "verdict.h"

struct chat_settings {
    char *url_env; /* owned: the environment variable with the hook's address; NULL: no chat */
    char *ca_file; /* owned: certificates to trust besides the system's; NULL: none */
    enum weight from_weight;
    struct json *body; /* owned: the template; NULL: the default one */
};

struct show_file {
    char *path;    /* owned */
    char *profile; /* owned: its path, taken from the show file's folder */
    char *host;    /* owned */
    int port;      /* 0: the profile's */
    struct chat_settings chat;
    struct json *json;
};

/* Reads the file and its "desk" and "tell". NULL with the problems. Free with show_file_free(). */
struct show_file *show_file_open(const char *path, struct problems *problems);
void show_file_free(struct show_file *file);

/* The rest of it, for a desk of the profile's counts; NULL with the problems. Free with
 * show_free(). */
struct show *show_file_show(const struct show_file *file, const struct profile *profile,
                            struct problems *problems);

#endif
