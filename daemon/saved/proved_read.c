/* SPDX-License-Identifier: MIT */
/* Reads what ring-outs proved. */
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "core/need.h"
#include "profile/profile.h"
#include "saved/parts.h"
#include "saved/proved.h"

static_assert((int)PROOF_AT_SIZE == (int)CLOCK_SIZE, "a time is kept as the clock writes it");

/* ---- the desk of a ceiling ---- */

static void
take_desk(const struct field_given *given)
{
    struct saved saved = {.desk = NULL};

    fields_read(saved_desk_fields, given->where, &saved, NULL);
    *(struct desk **)field_place(given) = saved.desk;
}

/* A number from 1, kept from 0. */
static void
take_index(const struct field_given *given)
{
    int number;

    if (where_take_whole(given->where, 1, COUNT_LIMIT, &number))
        *(int *)field_place(given) = number - 1;
}

#define MADE_ROWS(type, made)                                                                      \
    {"at",                                                                                         \
     FIELD_SPELT,                                                                                  \
     "when",                                                                                       \
     FIELD_AT(type, made.at),                                                                      \
     .need = FIELD_MUST,                                                                           \
     .take = saved_take_time},                                                                     \
        {"by", FIELD_COPY, "by whom", FIELD_AT(type, made.by), .need = FIELD_MUST},                \
    {                                                                                              \
        "note", FIELD_COPY, "what is worth remembering of it", FIELD_AT(type, made.note),          \
            .need = FIELD_MUST                                                                     \
    }
#define INDEX_ROW(key, type, member, help, must)                                                   \
    {                                                                                              \
        key, FIELD_WHOLE, help, FIELD_AT(type, member), .need = (must), .least = 1,                \
                                                        .most = COUNT_LIMIT, .take = take_index    \
    }
#define DESK_ROW(type, desk)                                                                       \
    {                                                                                              \
        "desk", FIELD_OBJECT, "the whole desk", FIELD_AT(type, desk),                              \
            .need = FIELD_MUST, .object = saved_desk_fields, .defined = "desk", .take = take_desk  \
    }

static const struct field ceiling_fields[] = {
    MADE_ROWS(struct proof_ceiling, made),
    INDEX_ROW("mix", struct proof_ceiling, mix, "the one it was proved for, the others closed",
              FIELD_MAY),
    {"step_db", FIELD_NUMBER, "by how much it may lie below what was reached",
     FIELD_AT(struct proof_ceiling, step_db), .need = FIELD_MUST, .most = 400},
    DESK_ROW(struct proof_ceiling, desk),
    {.help = "one ceiling"},
};

static const struct field ring_fields[] = {
    MADE_ROWS(struct proof_ring, made),
    {"hz", FIELD_NUMBER, "where it rang", FIELD_AT(struct proof_ring, hz), .need = FIELD_MUST,
     .least = 1, .most = 48000, .what = "a frequency", .unit = "Hz"},
    INDEX_ROW("mix", struct proof_ring, mix, "into which it rang", FIELD_MUST),
    INDEX_ROW("input", struct proof_ring, input, "through which, where that is known", FIELD_MAY),
    {"gain_db", FIELD_NUMBER, "the path's gain at the ring, there",
     FIELD_AT(struct proof_ring, gain_db), .least = -400, .most = 400, .unit = "dB"},
    {.help = "one ring"},
};

static const struct field left_fields[] = {
    MADE_ROWS(struct proofs, left_made),
    DESK_ROW(struct proofs, left),
    {.help = "the desk as the ring-out left it"},
};

/* ---- lists ---- */

/* False, with a problem, where there are too many. */
static bool
may_be_so_many(const struct where *where)
{
    if (json_size(where->json) <= PROOFS_MOST)
        return true;
    where_problem(where, "has %d elements, at most %d are kept", json_size(where->json),
                  PROOFS_MOST);
    return false;
}

static void
take_ceilings(const struct field_given *given)
{
    struct proofs *proofs = &((struct proved_file *)given->into)->proofs;

    if (!may_be_so_many(given->where))
        return;
    proofs->ceilings = need_memory(PROOFS_MOST, sizeof *proofs->ceilings);
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct proof_ceiling *ceiling = &proofs->ceilings[proofs->ceiling_count++];

        ceiling->mix = -1;
        fields_read(ceiling_fields, &one, ceiling, NULL);
    }
}

static void
take_rings(const struct field_given *given)
{
    struct proofs *proofs = &((struct proved_file *)given->into)->proofs;

    if (!may_be_so_many(given->where))
        return;
    proofs->rings = need_memory(PROOFS_MOST, sizeof *proofs->rings);
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct proof_ring *ring = &proofs->rings[proofs->ring_count++];

        *ring = (struct proof_ring){.input = -1, .gain_db = NAN};
        fields_read(ring_fields, &one, ring, NULL);
    }
}

static void
take_left(const struct field_given *given)
{
    struct proved_file *file = given->into;

    fields_read(given->field->object, given->where, &file->proofs, NULL);
}

/* ---- the whole ---- */

const struct field proved_fields[] = {
    FIELD_FILE_FORMAT("proved_format", PROVED_FORMAT),
    {"digest", FIELD_SPELT, NULL, .need = FIELD_MUST, .turn = 4, .take = saved_check_digest},
    {"desk", FIELD_COPY, NULL, FIELD_AT(struct proved_file, desk_name), .need = FIELD_MUST},
    {"show", FIELD_COPY, NULL, FIELD_AT(struct proved_file, show), .need = FIELD_MUST},
    {"ceilings", FIELD_LIST, "what did not ring", .need = FIELD_MUST, .most = PROOFS_MOST,
     .object = ceiling_fields, .take = take_ceilings},
    {"rings", FIELD_LIST, "what rang", .need = FIELD_MUST, .most = PROOFS_MOST,
     .object = ring_fields, .take = take_rings},
    {"left", FIELD_OBJECT, "the desk as the ring-out left it", .object = left_fields,
     .take = take_left},
    {.title = "gainwarden proved ceilings"},
};

struct proved_file *
proved_file_parse(const char *text, size_t length, const char *name, struct problems *problems)
{
    struct saved_signed whole = {text, "put the file back, or move it away and ring out again"};
    size_t before = problems->count;
    struct json *root = json_parse(text, length, name, problems);
    struct where where = where_file(name, root, problems);
    struct proved_file *file;

    if (!root)
        return NULL;
    file = need_memory(1, sizeof *file);
    if (where_check_kind(&where, "proved_format") &&
        where_check_format(&where, "proved_format", PROVED_FORMAT))
        fields_read(proved_fields, &where, file, &whole);
    json_free(root);
    if (problems->count == before)
        return file;
    proved_file_free(file);
    return NULL;
}

struct proved_file *
proved_file_read(const char *path, struct problems *problems)
{
    size_t length = 0;
    char *text =
        json_read_text(path, SAVED_FILE_LIMIT, "file of proved ceilings is", &length, problems);
    struct proved_file *file = text ? proved_file_parse(text, length, path, problems) : NULL;

    free(text);
    return file;
}

/* ---- whose it is ---- */

static void
check_index(const struct where *up, const char *key, int index, int count)
{
    struct where here = where_key(up, key);

    if (index >= count)
        where_problem(&here, "is %d, but the profile has %d", index + 1, count);
}

static void
check_ceilings(const struct proofs *proofs, const struct desk *desk, const struct where *list)
{
    for (int i = 0; i < proofs->ceiling_count; i++) {
        struct where one = where_index(list, i), kept = where_key(&one, "desk");

        saved_counts_fit(proofs->ceilings[i].desk, desk, &kept);
        check_index(&one, "mix", proofs->ceilings[i].mix, desk_count(desk, INDEX_MIX));
    }
}

static void
check_rings(const struct proofs *proofs, const struct desk *desk, const struct where *list)
{
    for (int i = 0; i < proofs->ring_count; i++) {
        struct where one = where_index(list, i);

        check_index(&one, "mix", proofs->rings[i].mix, desk_count(desk, INDEX_MIX));
        check_index(&one, "input", proofs->rings[i].input, desk_count(desk, INDEX_INPUT));
    }
}

bool
proved_file_fits(const struct proved_file *file, const struct desk *desk, const char *path,
                 struct problems *problems)
{
    const struct proofs *proofs = &file->proofs;
    struct where root = where_file(path, NULL, problems);
    struct where ceilings = where_key(&root, "ceilings"), rings = where_key(&root, "rings");
    struct where left = where_key(&root, "left"), kept = where_key(&left, "desk");
    size_t before = problems->count;

    check_ceilings(proofs, desk, &ceilings);
    check_rings(proofs, desk, &rings);
    if (proofs->left)
        saved_counts_fit(proofs->left, desk, &kept);
    return problems->count == before;
}
