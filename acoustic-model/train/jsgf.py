"""Random sentences from the grammars in JSpeech Grammar Format (W3C Note, 2000): the part of it that they use."""
import os
import re

TOKEN = re.compile(r'<[^>]+>|\{[^}]*\}|[()\[\]|;=*+]|[^\s()\[\]|;=*+<>{}]+')


class Grammars:
    """All `*.jsgf` of a folder. Rules are kept as `grammar.rule`."""

    def __init__(self, folder):
        self.rules, self.public = {}, {}
        for name in sorted(os.listdir(folder)):
            if name.endswith('.jsgf'):
                self.read(os.path.join(folder, name))

    def read(self, path):
        with open(path, encoding='utf-8') as file:
            text = re.sub(r'//[^\n]*|/\*.*?\*/', '', file.read(), flags=re.S)
        grammar = re.search(r'grammar\s+([\w.]+)\s*;', text).group(1)
        imports = dict(reversed(name.rsplit('.', 1)) for name in re.findall(r'import\s+<([^>]+)>\s*;', text))
        for public, rule, body in re.findall(r'(public\s+)?<(\w+)>\s*=\s*((?:\{[^}]*\}|[^;{])*);', text):
            self.rules[f'{grammar}.{rule}'] = (grammar, imports, TOKEN.findall(body))
            if public:
                self.public.setdefault(grammar, []).append(f'{grammar}.{rule}')

    def resolve(self, grammar, imports, rule):
        if f'{grammar}.{rule}' in self.rules:
            return f'{grammar}.{rule}'
        if rule in imports:
            return f'{imports[rule]}.{rule}'
        for name in imports.get('*', '').split():
            if f'{name}.{rule}' in self.rules:
                return f'{name}.{rule}'
        raise KeyError(f'rule <{rule}> of grammar {grammar}')

    def say(self, rule, random):
        """A random sentence of a rule, as a list of words."""
        grammar, imports, tokens = self.rules[rule]
        words, end = self.alternatives(tokens, 0, grammar, imports, random)
        assert end == len(tokens), f'{rule}: unread {tokens[end:]}'
        return words

    def alternatives(self, tokens, at, grammar, imports, random):
        choices = []
        while True:
            words, at = self.sequence(tokens, at, grammar, imports, random)
            choices.append(words)
            if at >= len(tokens) or tokens[at] != '|':
                return random.choice(choices), at
            at += 1

    def sequence(self, tokens, at, grammar, imports, random):
        words = []
        while at < len(tokens) and tokens[at] not in '|)]':
            token = tokens[at]
            if token[0] == '{':
                at += 1
            elif token in '([':
                inner, at = self.alternatives(tokens, at + 1, grammar, imports, random)
                at += 1
                if token == '(' or random.random() < 0.5:
                    words += inner
            elif token[0] == '<':
                words += self.say(self.resolve(grammar, imports, token[1:-1]), random)
                at += 1
            else:
                words.append(token)
                at += 1
        return words, at
