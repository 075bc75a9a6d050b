/* SPDX-License-Identifier: MIT */
/* A profile: how one desk speaks OSC, as its user wrote it down. Loaded whole or not at all.
 */
#ifndef GAINWARDEN_PROFILE_H
#define GAINWARDEN_PROFILE_H

#include "base/fields.h"
#include "osc/check.h"
#include "osc/osc.h"
#include "profile/law.h"

enum { ENTRY_VARIABLES = 3, COUNT_LIMIT = 512, BAND_LIMIT = 31, ROUTE_LIMIT = 1 << 20 };

#define RENEWAL_LEAST_S 0.5

/* What the desk calls one input, mix, group or band. */
struct index_name {
    char *text;    /* owned: as it stands in addresses and texts */
    bool is_text;  /* as an argument it is a text; else an int32 */
    double number; /* of what is no text */
};

/* An index that takes part in an entry: {input}, {mix}, {group} or {band}. */
struct variable {
    enum index_kind kind;
    int first;                      /* the number the desk gives to our index 0, where it has */
    const struct index_name *names; /* no names: NULL; else one for each, the profile's */
};

/* A part of an address or a text: text, or an index. */
struct piece {
    char *text;   /* owned; NULL for an index */
    int variable; /* in the entry's list */
    int width;    /* digits, padded with zeros; 0: as many as needed */
};

/* How the numbers of a blob are written. */
enum blob_form { BLOB_NONE, BLOB_INT16, BLOB_INT32, BLOB_FLOAT32 };

/* How a text names its fields. */
enum label_form { LABELS_NONE, LABELS_LINE, LABELS_JSON };

enum element_kind {
    ELEMENT_LITERAL,
    ELEMENT_INDEX,
    ELEMENT_WORDING,
    ELEMENT_ECHO, /* a number of the question's own, which the answer brings back */
    ELEMENT_ANY,
    ELEMENT_VALUE
};

/* One argument of a message. */
struct element {
    enum element_kind kind;
    struct argument literal; /* its text is owned */
    int variable;            /* of an INDEX */
    struct piece *pieces;    /* owned: of a WORDING, a text with indexes in it */
    size_t piece_count;
    enum param_id param;  /* of a VALUE, and all below */
    struct law law;       /* bound to the parameter */
    struct travel range;  /* narrower than the parameter's; NAN where not given. A wire value
                              * that is in dB already has no law to give the end stops */
    double step;          /* the control's smallest move; 0: smooth */
    enum index_kind each; /* the value is a run of arguments along this index; else INDEX_NONE */
    int row, column;      /* variables that give the place, -1: none, or the run's */
    int only_row, only_column; /* the one object that it is of, -1: not said */
    char separator;            /* it is a field of a text line parted by this; 0: an argument */
    bool goes_on;              /* of the same line as the element before */
    bool shares;               /* the argument or field of the element before */
    enum label_form form;      /* it is the field with this label, wherever that stands */
    char label_end;            /* of a LINE: parts label and value */
    struct piece *label;       /* owned: of JSON the path from the top, parted by slashes */
    size_t label_pieces;
    bool roves;          /* an index stands in its label */
    enum blob_form blob; /* the run travels as a blob of such numbers */
    bool little_endian;
    size_t skip; /* bytes of the blob before its first number */
};

struct pattern {
    struct piece *address; /* owned */
    size_t pieces;
    struct element *elements; /* owned */
    size_t count;
};

struct entry {
    bool asks; /* false: the desk only pushes it */
    struct pattern ask, answer;
    struct variable variables[ENTRY_VARIABLES]; /* those of the question first */
    int variable_count;
    int asked_count; /* how many of them the question names */
    uint32_t echo;   /* the number that its first question sends as an ECHO; 0: it sends none */
    bool this_only_asks;
    bool listed;   /* its question is on the list of what is sent, sending.h */
    bool unfolds;  /* its answer has arguments that hold more than one thing */
    bool roves;    /* its values are fields that rove: a message may bring many answers */
    char *untyped; /* owned: types of the answer's arguments where it has no tags; NULL: it has */
};

struct renewal {
    struct pattern send;
    double every_s; /* RENEWAL_LEAST_S or more */
    bool this_only_asks;
};

struct pace {
    int in_flight;
    double per_second;
    int answer_within_ms;
    int tries;             /* how often a question is put at most */
    double reread_every_s; /* in the watch: how often the whole desk is read again, at most */
    double stale_after_s;  /* a value older than this is stale */
    double
        lost_after_s; /* a desk that is asked nothing is lost after such a silence; 0: not said */
};

/* How the spectra of mixes are made. */
struct profile_spectrum {
    double per_second;            /* frames */
    double lowest_hz, highest_hz; /* centres of the first and the last band; 0: there are none */
};

struct fixed {
    enum param_id param;
    double number;
};

enum transport { TRANSPORT_UDP, TRANSPORT_TCP_SIZE, TRANSPORT_TCP_SLIP };

struct profile_link {
    enum transport transport;
    int port;
    bool any_port;   /* UDP: answers may come from any port of the desk's address */
    int answer_port; /* UDP: the port of ours to which the desk answers; 0: the one that asked */
    bool untagged;   /* questions leave without a type-tag string */
};

struct profile {
    char *desk; /* owned: what the user calls the desk */
    struct profile_link link;
    struct osc_forms forms; /* what its answers need */
    struct pace pace;
    struct desk_counts counts;
    struct desk_filters filters;
    struct profile_spectrum spectrum;
    struct entry *entries; /* owned */
    size_t entry_count;
    struct renewal *renewals; /* owned */
    size_t renewal_count;
    struct index_name *names[INDEX_KINDS]; /* owned, as many as there are; NULL: numbers */
    struct fixed *fixed;                   /* owned */
    size_t fixed_count;
    bool agreed;          /* what it sends may be sent, agreement.h */
    uint64_t fingerprint; /* of all the file says */
    struct json *json;    /* owned: the file; NULL: made from what is the caller's */
};

/* The table of the whole file. */
extern const struct field profile_fields[];

/* Loads the file; NULL with the problems when there is any. Free with profile_free(). `show` is the
 * show file that names it under desk.profile, or NULL: where it is no profile, both are named. */
struct profile *profile_load(const char *path, const char *show, struct problems *problems);
struct profile *profile_from_json(const struct json *json, const char *path,
                                  struct problems *problems);
void profile_free(struct profile *profile);

/* The parameter that the place's key names; PARAMS, with a problem, when there is none. */
enum param_id profile_param(const struct where *where);

/* A desk model of the profile's counts, with its constants, supplies and end stops set. */
struct desk *profile_desk(const struct profile *profile);

/* How many questions, and answers to wait for, an entry stands for: the product of the counts of
 * its first `variables` variables. */
size_t entry_places(const struct profile *profile, const struct entry *entry, int variables);

/* Splits place number `place` of entry_places(entry, variables) into indexes. */
void entry_indexes(const struct profile *profile, const struct entry *entry, int variables,
                   size_t place, int indexes[ENTRY_VARIABLES]);

/* The other way round. */
size_t entry_place(const struct profile *profile, const struct entry *entry, int variables,
                   const int indexes[ENTRY_VARIABLES]);

/* The pattern's address with the indexes put in; the bytes needed without the NUL, as snprintf. */
size_t pattern_address(const struct pattern *pattern, const struct entry *entry,
                       const int indexes[ENTRY_VARIABLES], char *buffer, size_t size);

/* Whether the address does not begin with '/'. */
bool pattern_is_bare(const struct pattern *pattern);

/* The pattern as a person reads it, and no two patterns alike: address with {placeholders}, then
 * arguments, texts in quotes. */
void pattern_print(const struct pattern *pattern, const struct entry *entry, FILE *to);

/* All of them, as arguments are printed, a blank before each. */
void names_print(const struct index_name *names, int count, FILE *to);

#endif
