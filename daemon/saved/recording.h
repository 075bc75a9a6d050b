/* SPDX-License-Identifier: MIT */
/* A watch written down: everything that came to it from outside, with its times, so that the same
 * watch can be run over it again (replay.c), and nothing of what it told: that follows. One JSON
 * object a line; gainwarden-saved(5) describes them.
 *
 *   {"recording_format":1,"at_s":...,"profile":{...},"show":{...},...,"sum":"..."}
 *   {"t":12,"in":["2f696e..."],"sum":"..."}
 *   {"t":5031,"link":"lost","why":"no answer","sum":"..."}
 *
 * The first line holds all that the watch was begun with. Each line's sum is over it and all before
 * it: damage and edits are told, and a line that is missing. What happened in one wake-up of the
 * watch is written at once, each line whole. A file that reached its limit becomes FILE.1 in place
 * of an older one, and the next begins with the desk as it stands.
 */
#ifndef GAINWARDEN_RECORDING_H
#define GAINWARDEN_RECORDING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/fields.h"

enum { RECORDING_FORMAT = 1, RECORDING_PACKET_MOST = 64 * 1024 };

/* What one line says; each has its key. */
enum recorded_kind {
    RECORDED_PACKETS,  /* "in": packets of the desk */
    RECORDED_REJECTED, /* "rejected": what was turned down, counted by reason */
    RECORDED_LINK,     /* "link": another link state, "why" */
    RECORDED_READ,     /* "read": what link_read_again() began is over */
    RECORDED_EXPIRED,  /* "stale_before": values last heard before then went stale */
    RECORDED_WAKE,     /* "wake": a timer of the watch */
    RECORDED_ASKED,    /* "asked": over the control socket */
    RECORDED_FILES,    /* "files": read anew */
    RECORDED_SAID,     /* "said": a line about something that is not recorded */
    RECORDED_STILL,    /* "still": time for the all-clear */
    RECORDED_DAY,      /* "day": another date */
    RECORDED_CLOCK,    /* "at_s": wall time, which was set */
    RECORDED_STOPPED,  /* "lasted_ms": the watch was stopped */
    RECORDED_NOTHING,  /* the end of a wake-up alone */
    RECORDED_KINDS
};

/* What stands in a line of a kind; and what else may, NULL at the end. */
struct recorded_shape {
    const char *key;
    enum json_kind kind;
    double least, most; /* of a number */
};
extern const struct recorded_shape recorded_shapes[RECORDED_KINDS];
extern const char *const recording_other_keys[];

/* The first line. */
extern const struct field recording_head_fields[];

/* ---- writing ---- */

struct recording;

/* Opens FILE to be written; one that is there already and is a recording becomes FILE.1. NULL, with
 * the reason in the problems. Nothing is written before recording_head(). */
struct recording *recording_open(const char *path, size_t limit, struct problems *problems);
void recording_close(struct recording *recording);

/* Begins the file with this line, which is taken over. False with errno set when it cannot be
 * written. */
bool recording_head(struct recording *recording, struct json *head);

/* One line to come; `what` is taken over, and more may be added to the line that is returned until
 * the next call. */
struct json *recording_add(struct recording *recording, enum recorded_kind kind, int64_t t_ms,
                           struct json *what);

void recording_packet(struct recording *recording, int64_t t_ms, const uint8_t *bytes,
                      size_t length);

/* The wake-up is over: writes its lines. False with errno set when they cannot be; then the file
 * ends before them. */
bool recording_write(struct recording *recording, int64_t now_ms);

/* It has reached its limit; and it may wait no longer for a good moment to begin a new one. */
bool recording_is_full(const struct recording *recording);
bool recording_is_overfull(const struct recording *recording);

/* Begins a new file with this line. False with errno set. */
bool recording_turn(struct recording *recording, struct json *head);

/* ---- reading ---- */

struct recording_reader;

/* A line; its JSON is the reader's until the next call. */
struct recorded {
    enum recorded_kind kind;
    int64_t t_ms;
    int64_t until_ms; /* when the wake-up ended */
    bool more;        /* the wake-up goes on in the next line */
    size_t number;    /* of the line in the file, from 1 */
    const struct json *line, *what;
};

/* Reads the whole file and every line of it. NULL, with the problems and their lines, when anything
 * is wrong with it but a last line that is torn. */
struct recording_reader *recording_read(const char *path, struct problems *problems);

/* The same of text in memory, with a NUL behind its `length` bytes, which is taken over. `name`
 * outlives it. */
struct recording_reader *recording_parse(char *text, size_t length, const char *name,
                                         struct problems *problems);
void recording_reader_free(struct recording_reader *reader);

const struct json *recording_reader_head(const struct recording_reader *reader);

/* The number of the last line, which is torn; 0: it is not. */
size_t recording_reader_torn(const struct recording_reader *reader);

/* The next line. False behind the last. */
bool recording_next(struct recording_reader *reader, struct recorded *recorded);

/* A packet's bytes from its digits; their count, 0 when there are none or it is no packet. */
size_t recording_bytes(const char *digits, uint8_t bytes[RECORDING_PACKET_MOST]);

#endif
