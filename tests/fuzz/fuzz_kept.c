/* SPDX-License-Identifier: MIT */
/* Bytes as a kept file: as they are, and, where they are JSON, as the records of one. A file opens
 * or its problem is told; what is written behind it reads back; and a watch that begins with it
 * says of everything what it would say of its own.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "fuzz.h"
#include "kept_rig.h"
#include "report/report.h"
#include "rig.h"
#include "watch/words.h"

static struct kept_rig rig;
static char folder[] = "/dev/shm/gainwarden-fuzz-XXXXXX";

static void
remove_folder(void)
{
    kept_rig_clear(&rig);
    rmdir(folder);
}

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    if (!mkdtemp(folder))
        exit(2);
    kept_rig_open(&rig, rig_small_desk(), folder);
    atexit(remove_folder);
    return 0;
}

/* ---- the file ---- */

static void
count(void *context, const struct json *record)
{
    assert(json_kind(record) == JSON_OBJECT);
    ++*(size_t *)context;
}

/* How many records it has; -1: it cannot be used. */
static long
open_and_add(void)
{
    struct problems problems = {0};
    struct json *record = json_new_object();
    size_t records = 0;
    struct keep *keep;

    keep = keep_open(rig.path, count, &records, &problems, rig_nowhere());
    assert((keep != NULL) == (problems.count == 0));
    assert(!keep || keep_write(keep, record));
    json_free(record);
    keep_close(keep);
    problems_release(&problems);
    return keep ? (long)records : -1;
}

static void
as_a_file(const uint8_t *bytes, size_t length)
{
    long records;

    kept_rig_write(&rig, (const char *)bytes, length);
    records = open_and_add();
    if (records >= 0)
        assert(open_and_add() == records + 1);
    kept_rig_clear(&rig);
}

/* ---- its records ---- */

static void
add_record(FILE *to, const struct json *record)
{
    char *text = json_print(record, false);

    if (json_kind(record) == JSON_OBJECT)
        fprintf(to, "%s\n", text);
    free(text);
}

/* An array of records, or one. */
static void
write_records(const struct json *json)
{
    char *text = NULL;
    size_t length = 0;
    FILE *to = open_memstream(&text, &length);

    assert(to);
    fprintf(to, "{\"keep_format\":1}\n");
    if (json_kind(json) == JSON_ARRAY)
        for (const struct json *one = json_first(json); one; one = json_next(one))
            add_record(to, one);
    else
        add_record(to, json);
    fclose(to);
    kept_rig_write(&rig, text, length);
    free(text);
}

/* What the sinks would say of each. */
static void
look_at_findings(void)
{
    struct engine *engine = rig.session.engine;

    for (size_t slot = 0; slot < engine_slots(engine); slot++)
        json_free(report_finding_json(engine, engine_slot(engine, slot), NULL));
}

static void
look_at_quiets(void)
{
    const struct quiets *quiets = watcher_quiets(rig.desk.watcher);
    char line[SAYING_LINE_SIZE];

    for (size_t i = 0; i < quiets->count; i++) {
        assert(quiets->list[i].until_ms - stand_now_ms(rig.stand) <=
               (int64_t)EARLIER_LONGEST_S * 1000);
        watch_quiet_text(&quiets->list[i], stand_now_ms(rig.stand), line, sizeof line);
    }
}

static size_t
begin(void)
{
    struct json *snapshot;
    size_t told;

    assert(kept_rig_start(&rig));
    look_at_findings();
    look_at_quiets();
    kept_rig_pass(&rig, 500);
    look_at_findings();
    snapshot = kept_snapshot(rig.desk.kept);
    told = (size_t)json_size(json_get(snapshot, "told"));
    json_free(snapshot);
    kept_rig_stop(&rig);
    return told;
}

static void
as_records(const uint8_t *bytes, size_t length)
{
    char *text = malloc(length + 1);
    struct problems problems = {0};
    struct json *json;
    size_t told;

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    json = json_parse(text, length, "kept", &problems);
    problems_release(&problems);
    free(text);
    if (!json)
        return;
    write_records(json);
    json_free(json);
    told = begin();
    assert(begin() == told);
    kept_rig_clear(&rig);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    as_a_file(bytes, length);
    as_records(bytes, length);
    return 0;
}
