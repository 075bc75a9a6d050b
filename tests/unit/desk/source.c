/* SPDX-License-Identifier: MIT */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "desk/label.h"
#include "desk/source.h"
#include "notes.h"
#include "rig.h"

/* "" stands for a label that tells nothing. */
static const struct {
    const char *label, *id;
} labels[] = {
    /* drums */
    {"Kick In", "kick"},
    {"Kick Out", "kick"},
    {"KIK", "kick"},
    {"BD", "kick"},
    {"Bass Drum", "kick"},
    {"Sn Top", "snare"},
    {"Snare Bot", "snare"},
    {"SNR", "snare"},
    {"Snare 2", "snare"},
    {"Tom 1", "rack-tom"},
    {"Rack Tom", "rack-tom"},
    {"Hi Tom", "rack-tom"},
    {"Flr Tom", "floor-tom"},
    {"Floor", "floor-tom"},
    {"Low Tom", "floor-tom"},
    {"FT", "floor-tom"},
    {"Hat", "hi-hat"},
    {"HH", "hi-hat"},
    {"Hi-Hat", "hi-hat"},
    {"HiHat", "hi-hat"},
    {"OH L", "overhead"},
    {"OHL", "overhead"},
    {"OH-R", "overhead"},
    {"Ride", "overhead"},
    {"Overheads", "overhead"},
    {"Perc 1", "percussion"},
    {"Congas Hi", "hand-drum"},
    {"Cajon", "cajon"},
    {"Pad L", "drum-pad"},
    {"Vibes", "tuned-percussion"},
    /* strings and keys */
    {"Bass DI", "bass"},
    {"Bass Amp", "bass"},
    {"Bass", "bass"},
    {"DB", "double-bass"},
    {"Upright Bass", "double-bass"},
    {"Double Bass", "double-bass"},
    {"Gtr L", "electric-guitar"},
    {"GTR-L", "electric-guitar"},
    {"GTR1", "electric-guitar"},
    {"Elec Gtr SR", "electric-guitar"},
    {"Ac Gtr", "acoustic-guitar"},
    {"Aco", "acoustic-guitar"},
    {"AcGtr 2", "acoustic-guitar"},
    {"Banjo", "banjo"},
    {"Mando", "mandolin"},
    {"Uke", "ukulele"},
    {"Harp", "harp"},
    {"Blues Harp", "harmonica"},
    {"Grand Pno Lo", "piano"},
    {"Keys L", "keys"},
    {"Synth R", "keys"},
    {"Organ Hi", "organ"},
    {"Accordion", "accordion"},
    {"Vln", "violin"},
    {"Fiddle", "violin"},
    {"Vla 1", "viola"},
    {"Cello", "cello"},
    /* wind */
    {"Tpt", "trumpet"},
    {"Trumpet 2", "trumpet"},
    {"Tbn", "trombone"},
    {"Fr Horn", "french-horn"},
    {"Tuba", "tuba"},
    {"Sop Sax", "soprano-sax"},
    {"Alto Sax", "alto-sax"},
    {"Tenor Sax", "tenor-sax"},
    {"Bari Sax", "baritone-sax"},
    {"Flute", "flute"},
    {"Clarinet", "clarinet"},
    /* voices */
    {"Ld Vox", "lead-vocal"},
    {"LdVox", "lead-vocal"},
    {"LD VOX", "lead-vocal"},
    {"Lead Vocal", "lead-vocal"},
    {"BV 2", "backing-vocal"},
    {"BV2", "backing-vocal"},
    {"BGV SL", "backing-vocal"},
    {"Vox 3", "vocal"},
    {"Choir L", "choir"},
    {"MC", "speech"},
    {"Pastor", "speech"},
    {"Lectern", "lectern"},
    {"Pulpit", "lectern"},
    {"Lav 1", "lavalier"},
    {"Headset 2", "lavalier"},
    /* lines and the room */
    {"Playback L", "playback"},
    {"Track 1", "playback"},
    {"Click", "playback"},
    {"Laptop R", "playback"},
    {"Aud L", "audience"},
    {"Amb R", "audience"},
    {"Room Mic", "audience"},
    {"Spare", "unused"},
    {"not used", "unused"},
    /* nothing to go by */
    {"Ch 17", ""},
    {"", ""},
    {"57", ""},
    {"   ", ""},
    {"In 4", ""},
    {"Anna", ""},
    {"\xc3\xa4\xc3\xb6\xc3\xbc", ""},
    {"Kickoff", ""},
    {"\xe2\x98\x85 Kick \xe2\x98\x85", "kick"},
    {"Vox J\xc3\xb6rg", "vocal"},
    {"Gtr \xe5\xb7\xa6", "electric-guitar"},
};

static void
labels_tell_the_source(void **state)
{
    (void)state;
    assert_true(COUNT(labels) >= 60);
    for (size_t i = 0; i < COUNT(labels); i++) {
        int source = source_from_label(labels[i].label);
        const char *found = source == SOURCE_UNKNOWN ? "" : sources[source].id;

        if (strcmp(found, labels[i].id) != 0)
            print_error("label \"%s\"\n", labels[i].label);
        assert_string_equal(found, labels[i].id);
    }
}

/* The commonest labels of a band that sings: the instrument tells whose voice it is, the source is
 * a voice. */
static void
singing_players_are_voices(void **state)
{
    static const char *const singers[] = {"Gtr Vox",  "Vox Gtr",  "Bass Vox",     "Keys Vox",
                                          "Drum Vox", "Drums Vx", "Ac Gtr Vocal", "Sax Vox"};

    (void)state;
    for (size_t i = 0; i < COUNT(singers); i++) {
        int source = source_from_label(singers[i]);
        const char *found = source == SOURCE_UNKNOWN ? "" : sources[source].id;

        if (strcmp(found, "vocal") != 0)
            print_error("label \"%s\"\n", singers[i]);
        assert_string_equal(found, "vocal");
    }
}

static void
endless_label_is_read(void **state)
{
    enum { LENGTH = 10000 };
    char *label = malloc(LENGTH + 1);

    (void)state;
    memset(label, 'k', LENGTH);
    label[LENGTH] = '\0';
    assert_int_equal(source_from_label(label), SOURCE_UNKNOWN);
    memcpy(label + LENGTH - 5, " kick", 5);
    assert_int_equal(source_from_label(label), rig_source("kick"));
    free(label);
}

static void
ids_are_many_unique_and_spelt_one_way(void **state)
{
    (void)state;
    assert_true(source_count >= 40);
    for (int i = 0; i < source_count; i++) {
        const char *id = sources[i].id;

        assert_int_equal(rig_source(id), i); /* the first of its name, so none stands twice */
        assert_row(id, strspn(id, "abcdefghijklmnopqrstuvwxyz-"), strlen(id));
        assert_int_not_equal(id[0], '-');
        assert_int_not_equal(id[strlen(id) - 1], '-');
    }
    assert_string_equal(sources[SOURCE_UNUSED].id, "unused");
}

static void
corners_and_notes_make_sense(void **state)
{
    (void)state;
    for (int i = 0; i < source_count; i++) {
        const struct source *source = &sources[i];

        assert_row(source->id, source->corner_low_hz <= source->corner_high_hz, true);
        assert_row(source->id, source->wants_high_pass && source->corner_low_hz <= 0, false);
        assert_row(source->id, source->lowest_hz >= 0, true);
        assert_row(source->id, strlen(source->lowest_from) > 0, true);
        assert_row(source->id, strlen(source->corner_from) > 0, true);
        /* a figure names where it comes from; where there is none, it says why */
        assert_row(source->id,
                   strcmp(source->lowest_from, "depends on the player") == 0 ||
                       strcmp(source->lowest_from, "no published figure at hand") == 0,
                   source->lowest_hz == 0);
        assert_null(strstr(source->lowest_from, "memory"));
    }
}

/* The id with its dashes as spaces is a label people write; it must lead back to its own row. */
static void
id_is_a_label_of_its_own(void **state)
{
    (void)state;
    for (int i = 0; i < source_count; i++)
        assert_row(sources[i].id, source_from_label(sources[i].id), i);
}

/* The words of an alternative, sorted: "ld vox" and "vox ld" are the same claim. */
static void
claim_of(const char *alternative, size_t length, struct label *claim)
{
    char text[64];

    assert_true(length < sizeof text);
    memcpy(text, alternative, length);
    text[length] = '\0';
    label_read(claim, text);
    for (int i = 1; i < claim->count; i++)
        for (int j = i; j > 0 && strcmp(claim->words[j - 1], claim->words[j]) > 0; j--) {
            char swap[LABEL_WORD_SIZE];

            memcpy(swap, claim->words[j], sizeof swap);
            memcpy(claim->words[j], claim->words[j - 1], sizeof swap);
            memcpy(claim->words[j - 1], swap, sizeof swap);
        }
}

struct claims {
    int count;
    struct {
        struct label claim;
        int source;
    } list[600];
};

static void
add_claims(struct claims *claims, int source)
{
    const char *at = sources[source].words;

    while (*at) {
        size_t length = strcspn(at, "|");

        assert_true(claims->count < (int)COUNT(claims->list));
        claim_of(at, length, &claims->list[claims->count].claim);
        assert_row(sources[source].id, claims->list[claims->count].claim.count > 0, true);
        claims->list[claims->count++].source = source;
        at += length + (at[length] == '|');
    }
}

static bool
same_claim(const struct label *one, const struct label *other)
{
    bool same = one->count == other->count;

    for (int i = 0; same && i < one->count; i++)
        same = strcmp(one->words[i], other->words[i]) == 0;
    return same;
}

static void
no_alternative_is_claimed_twice(void **state)
{
    static struct claims claims;

    (void)state;
    for (int i = 0; i < source_count; i++)
        add_claims(&claims, i);
    for (int i = 0; i < claims.count; i++)
        for (int j = 0; j < i; j++)
            if (claims.list[i].source != claims.list[j].source &&
                same_claim(&claims.list[i].claim, &claims.list[j].claim)) {
                print_error("%s and %s claim the same words, \"%s\" ...\n",
                            sources[claims.list[i].source].id, sources[claims.list[j].source].id,
                            claims.list[i].claim.words[0]);
                fail();
            }
}

static const struct {
    const char *id, *instrument;
} notes[] = {
    {"bass", "bass guitar, 4 string"},
    {"electric-guitar", "guitar (standard tuning)"},
    {"acoustic-guitar", "guitar (standard tuning)"},
    {"piano", "piano"},
    {"keys", "piano"},
    {"violin", "violin"},
    {"viola", "viola"},
    {"cello", "cello"},
    {"double-bass", "double bass"},
    {"trumpet", "trumpet"},
    {"trombone", "trombone (tenor)"},
    {"french-horn", "French horn"},
    {"soprano-sax", "soprano sax"},
    {"alto-sax", "alto sax"},
    {"tenor-sax", "tenor sax"},
    {"baritone-sax", "baritone sax"},
    {"flute", "flute"},
};

static size_t
note_of(const char *instrument)
{
    size_t i = 0;

    while (strcmp(reference_notes[i].instrument, instrument) != 0)
        assert_true(++i < COUNT(reference_notes));
    return i;
}

/* 4 decimals. */
static void
lowest_notes_are_the_published_ones(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(notes); i++) {
        int source = rig_source(notes[i].id);

        assert_int_not_equal(source, SOURCE_UNKNOWN);
        assert_near_in(notes[i].id, sources[source].lowest_hz,
                       reference_notes[note_of(notes[i].instrument)].hz, 6e-5);
    }
}

/* A drum has no lowest note, but a body: snare 150 to 200 Hz, floor tom 80 to 120, rack tom 240 to
 * 400, kick from 50 (entertainmentguide.local.com and trendylifestyleblog.com, secondary texts and
 * weak). */
static void
drums_are_known_by_their_body(void **state)
{
    static const struct {
        const char *id;
        double least_hz, most_hz;
    } bodies[] = {
        {"kick", 50, 70}, {"snare", 150, 200}, {"rack-tom", 240, 400}, {"floor-tom", 80, 120}};
    int drums = 0;

    (void)state;
    for (int i = 0; i < source_count; i++)
        drums += source_is_drum(&sources[i]);
    assert_int_equal(drums, COUNT(bodies));
    for (size_t i = 0; i < COUNT(bodies); i++) {
        const struct source *source = &sources[rig_source(bodies[i].id)];

        assert_row(source->id, source_is_drum(source), true);
        assert_near_in(source->id, source->lowest_hz, bodies[i].least_hz, 0);
        /* a corner at the top of the usual ones leaves it whole: at most 3 dB, order 2 */
        assert_true(10 * log10(1 + pow(source->corner_high_hz / source->lowest_hz, 4)) <= 3.02);
    }
    assert_false(source_is_drum(&sources[rig_source("violin")]));
}

/* What was published nowhere is not told. */
static void
what_is_not_published_is_not_told(void **state)
{
    (void)state;
    assert_near(sources[rig_source("clarinet")].lowest_hz, 0, 0);
    assert_near(sources[rig_source("mandolin")].lowest_hz, 0, 0);
}

/* f = 440 * 2^(n / 12): a slip in copying the reference would show here. */
static void
reference_notes_are_equal_tempered(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(reference_notes); i++)
        assert_near_in(reference_notes[i].note, 440 * pow(2, reference_notes[i].from_a4 / 12.0),
                       reference_notes[i].hz, 6e-5);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels_tell_the_source),
        cmocka_unit_test(singing_players_are_voices),
        cmocka_unit_test(endless_label_is_read),
        cmocka_unit_test(ids_are_many_unique_and_spelt_one_way),
        cmocka_unit_test(corners_and_notes_make_sense),
        cmocka_unit_test(id_is_a_label_of_its_own),
        cmocka_unit_test(no_alternative_is_claimed_twice),
        cmocka_unit_test(lowest_notes_are_the_published_ones),
        cmocka_unit_test(drums_are_known_by_their_body),
        cmocka_unit_test(what_is_not_published_is_not_told),
        cmocka_unit_test(reference_notes_are_equal_tempered),
    };

    return cmocka_run_group_tests_name("source", tests, NULL, NULL);
}
