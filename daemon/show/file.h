/* SPDX-License-Identifier: MIT */
/* The show file: what tonight is. Read in two steps, because the numbers of inputs and mixes come
 * from the profile that it names.
 */
#ifndef GAINWARDEN_SHOW_FILE_H
#define GAINWARDEN_SHOW_FILE_H

#include "core/verdict.h"
#include "desk/show.h"
#include "profile/profile.h"
#include "show/timetable.h"

struct chat_settings {
    char *url_env;  /* owned: the environment variable with the hook's address, */
    char *url_file; /* owned: or the file with it; both NULL: no chat */
    char *ca_file;  /* owned: certificates to trust besides the system's; NULL: none */
    enum weight from_weight;
    double all_clear_s; /* how often it hears that all is watched; 0: never */
    struct json *body;  /* owned: the template; NULL: the default one */
};

enum { CUE_ADDRESS_MOST = 200 }; /* bytes */

/* One OSC message an edge, to another program or a cue light. */
struct cue_settings {
    char *host; /* owned; NULL: none */
    int port;
    char *address; /* owned */
    enum weight from_weight;
};

struct tell_settings {
    struct chat_settings chat;
    struct cue_settings cue;
    char *lines;     /* owned: file for JSON lines, "-" for standard output; NULL: none */
    char *heartbeat; /* owned: file; NULL: none */
    double heartbeat_every_s;
};

struct watch_settings {
    double raise_after_s, clear_after_s; /* of every check; negative: as the checks say */
    int recall_values, recall_objects;   /* so many at once are a recall */
};

struct show_file {
    char *path;     /* owned */
    char *profile;  /* owned: its path, taken from the show file's folder */
    char *agreed;   /* owned: the hash of the list that was agreed to; NULL: none */
    char *approved; /* owned: the approved desk's file, the same; NULL: beside the show file */
    char *stage;    /* owned: the stage plan's file, the same; NULL: none */
    char *host;     /* owned */
    int port;       /* 0: the profile's */
    struct tell_settings tell;
    struct watch_settings watch;
    struct timetable room;
    struct json *json;
};

/* The table of the whole file. */
extern const struct field show_file_fields[];

/* Reads the file and its "desk" and "tell". NULL with the problems. Free with show_file_free(). */
struct show_file *show_file_open(const char *path, struct problems *problems);
/* The same of a tree, which is taken over; `path` stands for the file. */
struct show_file *show_file_from_json(struct json *json, const char *path,
                                      struct problems *problems);
void show_file_free(struct show_file *file);

bool show_file_has_chat(const struct show_file *file);

/* The rest of it, for a desk of these counts; NULL with the problems. Free with show_free(). */
struct show *show_file_show(const struct show_file *file, const struct desk_counts *counts,
                            struct problems *problems);

/* Gives that show the stage plan that the file names, as it was read. False with the problems. */
bool show_file_put_plan(const struct show_file *file, struct show *show, const struct json *plan,
                        const struct desk_counts *counts, struct problems *problems);

#endif
