/* SPDX-License-Identifier: MIT */
#include "book.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

enum { PAIR_KEY_SIZE = 32 };

/* The fields of a filter that one number tells of. */
static const char *
pair_key(const char *filter, size_t i, char key[PAIR_KEY_SIZE])
{
    snprintf(key, PAIR_KEY_SIZE, "%s.%s", filter, i == 0 ? "on" : "freq");
    return key;
}

static void
add_phrase(struct book *book, const struct state *state, struct phrase phrase)
{
    char key[PAIR_KEY_SIZE];

    assert(book->count < BOOK_PHRASES);
    if (phrase.run_key)
        phrase.run = field_find(phrase.run_scope, phrase.run_key);
    for (size_t i = 0; phrase.pair_key && i < 2; i++)
        phrase.pair[i] = field_find(phrase.scope, pair_key(phrase.pair_key, i, key));
    book->phrases[book->count++] = phrase;
    book->messages += state_objects(state, phrase.scope);
}

/* A desk without a graphic has nothing to say of its bands. */
static bool
has_values(const struct phrase *phrase, const struct state *state)
{
    return phrase->whole || phrase->pair_key || state_objects(state, phrase->run_scope) > 0;
}

static bool
is_listed(const struct dialect *dialect, const struct field *field)
{
    char key[PAIR_KEY_SIZE];

    for (size_t i = 0; i < dialect->count; i++) {
        const struct phrase *phrase = &dialect->phrases[i];

        if (phrase->whole && phrase->scope == field->scope)
            return true;
        for (size_t k = 0; phrase->pair_key && k < 2; k++)
            if (phrase->scope == field->scope &&
                strcmp(pair_key(phrase->pair_key, k, key), field->key) == 0)
                return true;
        if (phrase->run_key && phrase->run_scope == field->scope &&
            strcmp(phrase->run_key, field->key) == 0)
            return true;
    }
    return false;
}

/* The field's address behind a prefix, with or without the indices' parts. */
static const char *
make_address(char out[ADDRESS_SIZE], const char *prefix, const char *address, bool apart)
{
    size_t used = (size_t)snprintf(out, ADDRESS_SIZE, "%s", prefix);

    for (; *address != '\0' && used < ADDRESS_SIZE - 1; address++) {
        if (apart && strncmp(address, "/#", 2) == 0)
            address++;
        else
            out[used++] = *address;
    }
    out[used] = '\0';
    return out;
}

static void
add_single(struct book *book, const struct state *state, const struct field *field)
{
    const struct dialect *dialect = book->dialect;
    struct phrase phrase = {.scope = field->scope, .style = dialect->style, .only = field};
    char(*addresses)[ADDRESS_SIZE] = book->addresses[book->count];

    if (dialect->ask)
        phrase.ask =
            make_address(addresses[0], dialect->ask, field->address, dialect->indices_apart);
    phrase.answer =
        make_address(addresses[1], dialect->answer, field->address, dialect->indices_apart);
    add_phrase(book, state, phrase);
}

static void
add_questions(struct book *book, const struct state *state, const struct phrase *phrase)
{
    struct node node = {.kind = NODE_QUESTION, .phrase = phrase};
    char address[ADDRESS_SIZE];

    if (!phrase->ask)
        return;
    if (!strchr(phrase->ask, '#')) {
        addresses_add(&book->questions, phrase->ask, node);
        return;
    }
    for (; node.object < state_objects(state, phrase->scope); node.object++) {
        struct named named = {state, book->dialect->manner.naming, phrase->scope, node.object};

        address_expand(phrase->ask, &named, address);
        addresses_add(&book->questions, address, node);
    }
}

bool
book_init(struct book *book, const struct dialect *dialect, const struct state *state)
{
    *book = (struct book){.dialect = dialect};
    for (size_t i = 0; i < dialect->count; i++)
        if (has_values(&dialect->phrases[i], state))
            add_phrase(book, state, dialect->phrases[i]);
    for (size_t i = 0; i < fields_count; i++)
        if (all_fields[i].address && !is_listed(dialect, &all_fields[i]))
            add_single(book, state, &all_fields[i]);
    if (!addresses_init(&book->questions, book->messages))
        return false;
    for (size_t i = 0; i < book->count; i++)
        add_questions(book, state, &book->phrases[i]);
    return true;
}

void
book_release(struct book *book)
{
    addresses_release(&book->questions);
}

const struct phrase *
book_message(const struct book *book, const struct state *state, size_t message, size_t *object)
{
    const struct phrase *phrase = book->phrases;

    assert(message < book->messages);
    while (message >= state_objects(state, phrase->scope))
        message -= state_objects(state, phrase++->scope);
    *object = message;
    return phrase;
}

const struct phrase *
book_tells(const struct book *book, const struct state *state, const struct field *field,
           size_t *object)
{
    size_t i = 0;

    while (i < book->count && !phrase_holds(&book->phrases[i], state, field, object))
        i++;
    assert(i < book->count); /* every field is in some phrase */
    return &book->phrases[i];
}
