package main

// commands lists the verbs in the order a newcomer needs them.
func commands() []command {
	return []command{}
}
