"""The conversation with a text editor in the words of the Language Server Protocol 3.17: ``server`` hears and answers,
``translating`` puts records into the protocol's words, ``readings`` has pieces read through by another process."""
