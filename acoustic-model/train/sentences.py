"""What the synthesisers say: commands, words of the commands in any order, and other English."""


class Sentences:
    def __init__(self, grammars, lexicon, transcripts):
        self.grammars = grammars
        self.rules = [rule for rules in grammars.public.values() for rule in rules]
        self.commands = sorted({word for rule in self.rules for words in [self.vocabulary(rule)] for word in words})
        self.others = sorted(word for word in lexicon if word.isalpha() and 2 <= len(word) <= 10)
        self.transcripts = transcripts

    def vocabulary(self, rule):
        """Every word a rule may need, other rules' words not counted."""
        return [token for token in self.grammars.rules[rule][2] if token[0].isalpha()]

    def draw(self, random):
        """A random sentence: 55 % commands, 15 % two commands' words mixed, the rest other English."""
        kind = random.random()
        if kind < 0.55:
            return self.grammars.say(random.choice(self.rules), random)
        if kind < 0.70:
            return random.choices(self.commands, k=random.randint(1, 4))
        if kind < 0.85:
            words = random.choice(self.transcripts).split()
            length = random.randint(3, 9)
            begin = random.randrange(max(1, len(words) - length))
            return words[begin:begin + length]
        return random.choices(self.others, k=random.randint(1, 4))
