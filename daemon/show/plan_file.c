/* SPDX-License-Identifier: MIT */
#include "show/plan_file.h"

#include <math.h>
#include <stdlib.h>

#include "desk/label.h"
#include "profile/profile.h"
#include "show/plan_parts.h"

/* Beyond these nobody builds anything: what is written there is a slip. */
#define ROOM_MOST_M3 1e7
#define REVERBERATION_MOST_S 60
#define CRITICAL_MOST_M 1000

/* ---- ears ---- */

static void
take_mix(const struct field_given *given)
{
    struct stage_ears *ears = given->into;
    int number;

    if (where_take_whole(given->where, 1, COUNT_LIMIT, &number))
        ears->mix = number - 1;
}

static void
take_ears_at(const struct field_given *given)
{
    struct stage_ears *ears = given->into;

    plan_take_point(given->where, &ears->at);
}

static void
need_mix(const struct field_given *given)
{
    const struct stage_ears *ears = given->into;
    struct where mix = where_key(given->where, "mix");

    if (!mix.json && !*ears->player)
        where_problem(&mix, "is missing; only a player of the show file has none");
}

static const struct field ears_fields[] = {
    {"mix", FIELD_WHOLE, "number of the mix they are to hear; else the show file's for the player",
     .least = 1, .most = COUNT_LIMIT, .take = take_mix},
    {"player", FIELD_NAME, "whose they are", FIELD_AT(struct stage_ears, player)},
    {"at", POINT, "where they are: [x, y, z]", .need = FIELD_MUST, POINT_BY(take_ears_at)},
    {"noise_db", FIELD_NUMBER, "how loud the stage is there without this mix, dB SPL",
     FIELD_AT(struct stage_ears, noise_db), .least = 20, .most = 140, .take = plan_take_stated},
    {"above_noise_db", FIELD_NUMBER, "how far above that the player needs it",
     FIELD_AT(struct stage_ears, above_noise_db), .least = -20, .most = 40,
     .preset = FIELD_PRESET(10), .take = plan_take_stated},
    {"mix or player", FIELD_RULE, NULL, .turn = 2, .take = need_mix},
    {.help = "the ears of one player"},
};

static void
take_ears(const struct field_given *given)
{
    struct stage *stage = given->into;

    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct stage_ears *ears = stage_add_ears(stage);

        if (!ears) {
            where_problem(given->where, "holds more than %d", STAGE_EARS);
            return;
        }
        fields_read(ears_fields, &one, ears, NULL);
    }
}

/* ---- pairs ---- */

struct taped {
    int input, mix;
    struct stage_pair pair;
};

static const struct field pair_fields[] = {
    {"input", FIELD_WHOLE, "number of the input that the microphone feeds",
     FIELD_AT(struct taped, input), .need = FIELD_MUST, .least = 1, .most = COUNT_LIMIT},
    {"mix", FIELD_WHOLE, "number of the mix that the wedge plays", FIELD_AT(struct taped, mix),
     .need = FIELD_MUST, .least = 1, .most = COUNT_LIMIT},
    {"metres", FIELD_NUMBER, "between the two", FIELD_AT(struct taped, pair.metres),
     .need = FIELD_MUST, .least = 0.05, .most = 1000},
    {"microphone_sees_it_at", FIELD_NUMBER, "degrees off the microphone's axis",
     FIELD_AT(struct taped, pair.microphone_degrees), .need = FIELD_MUST, .most = 180},
    {"wedge_sees_it_at", FIELD_NUMBER, "degrees off the wedge's axis",
     FIELD_AT(struct taped, pair.loudspeaker_degrees), .need = FIELD_MUST, .most = 180},
    {.help = "a microphone and a wedge measured with a tape, in place of both their places"},
};

static void
add_pair(struct stage *stage, const struct where *where, const struct taped *taped)
{
    struct stage_pair *pair = stage_add_pair(stage, taped->input - 1, taped->mix - 1);

    if (!pair) {
        where_problem(where,
                      "is one too many: there is room for %d pairs of %d microphones and %d "
                      "wedges",
                      STAGE_PAIRS, STAGE_MICROPHONES, STAGE_LOUDSPEAKERS);
        return;
    }
    for (const struct stage_pair *other = stage->pairs; other < pair; other++)
        if (other->microphone == pair->microphone && other->loudspeaker == pair->loudspeaker)
            where_problem(where, "pairs the same two as pairs[%d]", (int)(other - stage->pairs));
    pair->metres = taped->pair.metres;
    pair->microphone_degrees = taped->pair.microphone_degrees;
    pair->loudspeaker_degrees = taped->pair.loudspeaker_degrees;
}

static void
take_pairs(const struct field_given *given)
{
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct taped taped = {0};
        size_t before = one.problems->count;

        fields_read(pair_fields, &one, &taped, NULL);
        if (one.problems->count == before)
            add_pair(given->into, &one, &taped);
    }
}

/* ---- space ---- */

struct space {
    double critical_m, volume_m3, reverberation_s;
    bool open_air;
};

static const struct field space_fields[] = {
    {"critical_metres", FIELD_NUMBER,
     "critical distance of a source that radiates alike all round, or",
     FIELD_AT(struct space, critical_m), .least = 0.1, .most = CRITICAL_MOST_M},
    {"cubic_metres", FIELD_NUMBER, "volume of the room, with", FIELD_AT(struct space, volume_m3),
     .least = 10, .most = ROOM_MOST_M3},
    {"reverberation_s", FIELD_NUMBER, "its reverberation time, or",
     FIELD_AT(struct space, reverberation_s), .least = 0.05, .most = REVERBERATION_MOST_S},
    {"open_air", FIELD_SWITCH, "there is no room", FIELD_AT(struct space, open_air)},
    {.help = "what the room gives back"},
};

static void
take_space(const struct field_given *given)
{
    struct stage *stage = given->into;
    struct space space = {0};
    size_t before = given->where->problems->count;
    bool room, told;

    fields_read(space_fields, given->where, &space, NULL);
    room = space.volume_m3 > 0 && space.reverberation_s > 0;
    told = room == (space.volume_m3 > 0 || space.reverberation_s > 0) &&
           (space.critical_m > 0) + room + space.open_air == 1;
    if (given->where->problems->count > before)
        return;
    if (!told) {
        where_problem(given->where, "must hold either \"critical_metres\", or \"cubic_metres\" and "
                                    "\"reverberation_s\", or \"open_air\": true");
        return;
    }
    stage->critical_m.how = GIVEN;
    stage->critical_m.number = space.open_air ? HUGE_VAL
                               : room ? stage_critical_m(space.volume_m3, space.reverberation_s)
                                      : space.critical_m;
}

/* ---- listener ---- */

static void
take_listener_at(const struct field_given *given)
{
    struct stage *stage = given->into;

    stage->listens = plan_take_point(given->where, &stage->listener);
}

static const struct field listener_fields[] = {
    {"at", POINT, "where they are: [x, y, z]", .need = FIELD_MUST, POINT_BY(take_listener_at)},
    {"as_near_as_metres", FIELD_NUMBER, "as near as they shall feel to whoever talks",
     FIELD_AT(struct stage, equivalent_m), .least = 0.1, .most = 100, .preset = FIELD_PRESET(1.2),
     .take = plan_take_stated},
    {.help = "who is farthest from the house loudspeakers"},
};

static void
take_listener(const struct field_given *given)
{
    fields_read(listener_fields, given->where, given->into, NULL);
}

/* ---- the whole ---- */

/* The short form does not say what it is. */
static void
take_format(const struct field_given *given)
{
    if (json_get(given->where->json, given->field->key))
        where_check_format(given->where, given->field->key, (int)given->field->least);
}

const struct field plan_fields[] = {
    FIELD_EDITORS,
    {"stage_format", FIELD_FORMAT, "says what this file is; the short form needs none",
     .least = PLAN_FORMAT, .take = take_format},
    {"calibration_db", FIELD_NUMBER,
     "the desk's output level at full scale less its input level at full scale, preamp at 0",
     FIELD_AT(struct stage, calibration_db), .least = -60, .most = 60, .take = plan_take_stated},
    {"voice_db", FIELD_NUMBER, "how loud a voice is at 0.5 m, dB SPL",
     FIELD_AT(struct stage, voice_db), .least = 40, .most = 130, .preset = FIELD_PRESET(72),
     .take = plan_take_stated},
    {"space", FIELD_OBJECT, NULL, .object = space_fields, .take = take_space},
    {"microphones", FIELD_LIST, "microphones", .most = STAGE_MICROPHONES,
     .object = plan_microphone_fields, .take = plan_take_microphones},
    {"loudspeakers", FIELD_LIST, "loudspeakers", .most = STAGE_LOUDSPEAKERS,
     .object = plan_loudspeaker_fields, .take = plan_take_loudspeakers},
    {"ears", FIELD_LIST, "ears of players", .most = STAGE_EARS, .object = ears_fields,
     .take = take_ears},
    {"listener", FIELD_OBJECT, NULL, .object = listener_fields, .take = take_listener},
    {"pairs", FIELD_LIST, "microphones and wedges that were measured together", .then = 1,
     .most = STAGE_PAIRS, .object = pair_fields, .take = take_pairs},
    {.title = "gainwarden stage plan",
     .help = "where microphones, loudspeakers and ears are, and which way they face"},
};

bool
plan_file_is(const struct json *json)
{
    static const char *const keys[] = {"stage_format", "pairs", "microphones", "loudspeakers"};

    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (json_get(json, keys[i]))
            return true;
    return false;
}

static void
refuse_many_mixes(const struct stage *stage, const struct where *where)
{
    int count = stage_mixes(stage, NULL, 0);
    struct where loudspeakers = where_key(where, "loudspeakers");

    if (count > STAGE_MIXES)
        where_problem(&loudspeakers, "play %d mixes, more than %d", count, STAGE_MIXES);
}

struct stage *
plan_file_from_json(const struct json *json, const char *path, struct problems *problems)
{
    struct where where = where_file(path, json, problems);
    struct stage *stage = stage_new();
    size_t before = problems->count;

    if (where_check_kind(&where, "stage_format"))
        fields_read(plan_fields, &where, stage, NULL);
    refuse_many_mixes(stage, &where);
    if (problems->count == before)
        return stage;
    free(stage);
    return NULL;
}

struct stage *
plan_file_read(const char *path, struct problems *problems)
{
    struct json *json = json_read(path, problems);
    struct stage *stage = json ? plan_file_from_json(json, path, problems) : NULL;

    json_free(json);
    return stage;
}

/* ---- beside the desk ---- */

struct fit {
    const char *path, *list, *what;
    int count; /* how many the desk has */
    struct problems *problems;
};

static void
fit_one(const struct fit *fit, int at, int number)
{
    if (number >= fit->count)
        problems_add(fit->problems, "%s: %s[%d]: the desk has %s 1 to %d, none %d", fit->path,
                     fit->list, at, fit->what, fit->count, number + 1);
}

/* What a pair made stands nowhere in the file but there. */
static void
fit_all(const struct fit *fit, int at, const struct serves *serves, bool of_pair)
{
    if (of_pair)
        return;
    for (int i = 0; i < serves->count; i++)
        fit_one(fit, at, serves->of[i]);
}

static void
fit_pairs(const struct stage *stage, const struct desk_counts *counts, const char *path,
          struct problems *problems)
{
    struct fit inputs = {path, "pairs", "inputs", counts->of[INDEX_INPUT], problems};
    struct fit mixes = {path, "pairs", "mixes", counts->of[INDEX_MIX], problems};

    for (int i = 0; i < stage->pair_count; i++) {
        const struct stage_microphone *to = &stage->microphones[stage->pairs[i].microphone];
        const struct stage_loudspeaker *from = &stage->loudspeakers[stage->pairs[i].loudspeaker];

        if (to->of_pair)
            fit_one(&inputs, i, to->inputs.of[0]);
        if (from->of_pair)
            fit_one(&mixes, i, from->mixes.of[0]);
    }
}

bool
plan_file_fits(const struct stage *stage, const struct desk_counts *counts, const char *path,
               struct problems *problems)
{
    size_t before = problems->count;
    struct fit inputs = {path, "microphones", "inputs", counts->of[INDEX_INPUT], problems};
    struct fit mixes = {path, "loudspeakers", "mixes", counts->of[INDEX_MIX], problems};
    struct fit ears = {path, "ears", "mixes", counts->of[INDEX_MIX], problems};

    for (int i = 0; i < stage->microphone_count; i++)
        fit_all(&inputs, i, &stage->microphones[i].inputs, stage->microphones[i].of_pair);
    for (int i = 0; i < stage->loudspeaker_count; i++)
        fit_all(&mixes, i, &stage->loudspeakers[i].mixes, stage->loudspeakers[i].of_pair);
    for (int i = 0; i < stage->ears_count; i++)
        fit_one(&ears, i, stage->ears[i].mix);
    fit_pairs(stage, counts, path, problems);
    return problems->count == before;
}

/* ---- beside the show ---- */

static bool
is_played(const struct stage *stage, int mix)
{
    for (int i = 0; i < stage->loudspeaker_count; i++)
        if (serves_has(&stage->loudspeakers[i].mixes, mix))
            return true;
    return false;
}

/* -1: the show names none. */
static int
mix_of_player(const struct stage *stage, const struct show *show, const char *player)
{
    int found = -1;

    for (int mix = 0; mix < show->mix_count; mix++)
        if (label_equal(player, show->mixes[mix].player) &&
            (found < 0 || (is_played(stage, mix) && !is_played(stage, found))))
            found = mix;
    return found;
}

bool
plan_file_find_ears(struct stage *stage, const struct show *show, const char *path,
                    struct problems *problems)
{
    size_t before = problems->count;

    for (int i = 0; i < stage->ears_count; i++) {
        struct stage_ears *ears = &stage->ears[i];

        if (ears->mix < 0)
            ears->mix = mix_of_player(stage, show, ears->player);
        if (ears->mix < 0)
            problems_add(problems,
                         "%s: ears[%d]: the show file has no mix for player \"%s\": give the mix",
                         path, i, ears->player);
    }
    return problems->count == before;
}
