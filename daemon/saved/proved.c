/* SPDX-License-Identifier: MIT */
#include "saved/proved.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/atomic_file.h"
#include "base/no_memory.h"
#include "saved/parts.h"

void
proved_file_free(struct proved_file *file)
{
    if (!file)
        return;
    proofs_release(&file->proofs);
    free(file);
}

/* ---- writing ---- */

static void
write_made(FILE *to, const struct proof_made *made)
{
    saved_write_string(to, "\"at\": ", made->at);
    saved_write_string(to, ", \"by\": ", made->by);
    saved_write_string(to, ", \"note\": ", made->note);
}

static void
write_desk(FILE *to, const struct desk *desk, const struct proof_made *made)
{
    struct desk *copy = desk_copy(desk); /* a saved desk owns what it holds */
    struct saved saved = {.desk = copy, .now_ms = made->now_ms};

    fputs(",\n  \"desk\": {\n", to);
    saved_write_desk(to, &saved);
    fputs("} }", to);
    desk_free(copy);
}

static void
write_ceiling(FILE *to, const struct proof_ceiling *ceiling)
{
    fputs("\n{ ", to);
    write_made(to, &ceiling->made);
    if (ceiling->mix >= 0)
        fprintf(to, ", \"mix\": %d", ceiling->mix + 1);
    saved_write_number(to, ", \"step_db\": ", ceiling->step_db);
    write_desk(to, ceiling->desk, &ceiling->made);
}

static void
write_ring(FILE *to, const struct proof_ring *ring)
{
    fputs("\n{ ", to);
    write_made(to, &ring->made);
    saved_write_number(to, ", \"hz\": ", ring->hz);
    fprintf(to, ", \"mix\": %d", ring->mix + 1);
    if (ring->input >= 0)
        fprintf(to, ", \"input\": %d", ring->input + 1);
    if (!isnan(ring->gain_db))
        saved_write_number(to, ", \"gain_db\": ", ring->gain_db);
    fputs(" }", to);
}

static void
write_all(FILE *to, const struct proved_file *file)
{
    const struct proofs *proofs = &file->proofs;

    fprintf(to, "{\n\"proved_format\": %d,\n" SAVED_DIGEST_KEY "%016d\"", PROVED_FORMAT, 0);
    saved_write_string(to, ",\n\"desk\": ", file->desk_name);
    saved_write_string(to, ",\n\"show\": ", file->show);
    fputs(",\n\"ceilings\": [", to);
    for (int i = 0; i < proofs->ceiling_count; i++) {
        fputs(i > 0 ? "," : "", to);
        write_ceiling(to, &proofs->ceilings[i]);
    }
    fputs("],\n\"rings\": [", to);
    for (int i = 0; i < proofs->ring_count; i++) {
        fputs(i > 0 ? "," : "", to);
        write_ring(to, &proofs->rings[i]);
    }
    fputs("]", to);
    if (proofs->left) {
        fputs(",\n\"left\": { ", to);
        write_made(to, &proofs->left_made);
        write_desk(to, proofs->left, &proofs->left_made);
    }
    fputs("\n}\n", to);
}

char *
proved_file_text(const struct proved_file *file)
{
    char *text = NULL;
    size_t length = 0;
    FILE *to = no_memory_stream(&text, &length);

    write_all(to, file);
    no_memory_stream_end(to);
    saved_sign(text);
    return text;
}

bool
proved_file_write(const struct proved_file *file, const char *path)
{
    char *text = proved_file_text(file);
    bool good = atomic_file_write(path, text, strlen(text), 0644);

    free(text);
    return good;
}
